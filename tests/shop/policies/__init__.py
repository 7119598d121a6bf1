"""House policies."""
