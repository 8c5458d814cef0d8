"""What is measured and felt, as forms."""
