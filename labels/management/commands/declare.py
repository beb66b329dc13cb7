from labels.commands.declare import Command

__all__ = ["Command"]
