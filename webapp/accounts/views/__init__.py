"""Log-in, password and the page of accounts."""
