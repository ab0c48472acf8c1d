"""The fold of a person's records into the state of both eyes."""
