from labels.commands.label import Command

__all__ = ["Command"]
