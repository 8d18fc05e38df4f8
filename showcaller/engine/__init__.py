"""The engine: a process of its own that keeps the run's clock and place, fires cues and keeps the journal.

The desk may crash, hang or be closed; the engine goes on.
"""
