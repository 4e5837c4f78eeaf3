"""Schema changes, one file each, in order; never edited once released."""
