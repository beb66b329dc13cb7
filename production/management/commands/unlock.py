from production.workshop.commands.unlock import Command

__all__ = ["Command"]
