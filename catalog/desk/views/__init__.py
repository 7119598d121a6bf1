"""The desk's pages over the record."""
