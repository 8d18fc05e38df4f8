"""Following a run: the link to its engine, its log folded, what a caller sees at an instant. No Qt.

The desk draws what is worked out here; the simulated caller acts on the same.
"""
