"""Pages that lie over the strip: an import looked at, exports, editions, the day, the pre-show check."""
