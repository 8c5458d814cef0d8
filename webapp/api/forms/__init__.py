"""What the JSON interface is sent, read strictly."""
