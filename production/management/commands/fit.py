from production.fitness.commands import Command

__all__ = ["Command"]
