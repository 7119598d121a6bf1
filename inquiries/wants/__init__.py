"""Who seeks what, which piece meets it, and who is told first."""
