"""Which tours this program reads: known without loading the database library."""

FORMAT_VERSION = 1
"""Raised when an older showcaller could no longer make sense of a tour."""

HEAD = "0004"
"""The newest migration; a test holds it to the migrations folder."""
