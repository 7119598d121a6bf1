"""Papers of a sale."""
