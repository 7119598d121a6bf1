"""The report on condition and originality: what the public page says, as a paper that goes with the piece."""
