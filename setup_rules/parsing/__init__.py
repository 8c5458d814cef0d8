"""Plain data, shaped like the JSON interface, to typed requests and back."""
