"""The four areas of the desk: Book (plan), Wall (what the screen shows), Call (live), Drift (after)."""
