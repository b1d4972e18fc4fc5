"""Tests of one part that are read from a log."""
