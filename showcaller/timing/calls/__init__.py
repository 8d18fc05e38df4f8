"""The plan as words spoken at a moment: the tasks, the solver, and the sheet of an item's call lines."""
