"""Tests of the words and rows that every face shares."""
