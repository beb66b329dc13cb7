from production.tracing.commands import Command

__all__ = ["Command"]
