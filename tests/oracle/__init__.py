"""A second opinion on the book: one plain function, written without sight of the rule tables."""
