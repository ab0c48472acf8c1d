"""Read models, one file each: every row can be dropped and computed again from the journal."""
