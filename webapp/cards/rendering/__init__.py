"""A card as PDF: layout, QR code, sizes, sheets, and the cache of finished ones."""
