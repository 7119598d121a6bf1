"""Threads found by the words of their letters."""
