"""Showing what showcaller does: the sample tour, receivers for its messages, a whole run, pictures of it."""
