"""Changes that change nothing anybody can see, each with the reason why."""

# By the key of the change: the function, what stood there, what stands there.
EQUIVALENT: dict[str, str] = {}
