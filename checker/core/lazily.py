"""Modules that are loaded when something of them is first asked for."""

from __future__ import annotations

import sys
from importlib.util import LazyLoader, find_spec, module_from_spec
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from types import ModuleType


def module(name: str) -> ModuleType:
    """The module of a name, its code run at the first use.

    Example:
        >>> module("checker.core.units").UNIT["ft"].size_si
        0.3048
    """
    known = sys.modules.get(name)
    if known is not None:
        return known
    spec = find_spec(name)
    if spec is None or spec.loader is None:
        raise ModuleNotFoundError(name)
    spec.loader = LazyLoader(spec.loader)
    made = module_from_spec(spec)
    sys.modules[name] = made
    spec.loader.exec_module(made)
    return made
