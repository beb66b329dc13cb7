from production.buying.commands import Command

__all__ = ["Command"]
