"""Drawing: the paper an area is drawn on, and the departments' shapes."""
