"""Texts are taken as they are typed.

Typer reads each value through a pydantic adapter that it builds for the parameter. For a text the
adapter changes nothing, and to bring in pydantic for it takes a quarter of a whole check. What is
not a text goes the way that Typer made for it.
"""

from __future__ import annotations

from typing import Any

from typer.core import TyperCommand


class _TextReading:
    """What one parameter's value is read by; Typer asks it through `coerce`."""

    def __init__(self, parameter: Any) -> None:  # noqa: ANN401 - typer's own parameters
        self._wanted = parameter.type_descriptor.annotation
        self._is_list = parameter.multiple or parameter.nargs == -1
        self._reading_of_typer = parameter.get_runtime_param

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:  # noqa: ANN401 - typer's own
        """The value of a parameter, as Typer would read it."""
        if value is None:
            return () if self._is_list else None
        if self._wanted is str and isinstance(value, str):
            return value
        if self._wanted == list[str] and isinstance(value, tuple):
            return list(value)
        return self._reading_of_typer().coerce(value, param=param, ctx=ctx)


class AsTyped:
    """A command or group whose texts are taken as they are typed: put it before Typer's class."""

    def get_params(self, ctx: Any) -> list[Any]:  # noqa: ANN401 - typer's own
        """The parameters, each reading texts by itself."""
        parameters: list[Any] = super().get_params(ctx)  # type: ignore[misc]
        for parameter in parameters:
            if "get_runtime_param" not in vars(parameter):
                reading = _TextReading(parameter)
                parameter.get_runtime_param = lambda reading=reading: reading
        return parameters


class TextCommand(AsTyped, TyperCommand):
    """A command whose texts are taken as they are typed."""
