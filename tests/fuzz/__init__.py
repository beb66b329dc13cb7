"""Bad input at every door: nothing a person or a file can send breaks the house."""
