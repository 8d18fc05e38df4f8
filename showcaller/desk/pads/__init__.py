"""A controller with pads and faders: what it sends, what is bound to it, its lights."""
