"""The book: the song as a strip of bars with its lanes, the running order at the side."""
