"""Pages for the people under the stage: what comes for a position, its cue light, its answers. No Qt."""
