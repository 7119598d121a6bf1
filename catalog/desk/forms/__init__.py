"""What may be typed into a record."""
