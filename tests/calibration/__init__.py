"""Does the vault prediction keep its word? Invented centres whose truth is known."""
