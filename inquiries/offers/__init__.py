"""What a buyer would give, against what was asked."""
