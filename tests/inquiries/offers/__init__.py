"""Tests of offers."""
