"""Who may come in: shops, their staff, log-in and sessions."""
