from production.planning.commands import Command

__all__ = ["Command"]
