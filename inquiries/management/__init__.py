"""Commands over correspondence."""
