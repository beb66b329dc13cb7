from production.chemistry.commands import Command

__all__ = ["Command"]
