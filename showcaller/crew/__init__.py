"""The page that other positions open in a browser. Nothing here yet; the room is kept for it."""
