"""The wall: geometry, what feeds it, what each look needs. Pure."""
