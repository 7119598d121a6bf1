"""Tests of what helps to answer."""
