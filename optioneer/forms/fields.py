"""What the annotation of a field says: the one place that takes annotations apart."""

from collections.abc import Iterator, Mapping
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel


def flat(annotation: Any) -> Iterator[Any]:
    """The types of a union, checks and none left out."""
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from flat(get_args(annotation)[0])
    elif origin in {Union, UnionType}:
        for one in get_args(annotation):
            yield from flat(one)
    elif annotation is not NoneType:
        yield annotation


def facts_held(annotation: Any) -> tuple[type[BaseModel], ...]:
    """The facts that a field holds, one or a list of them."""
    types = tuple(flat(annotation))
    listed = [one for kind in types if is_list(kind) for one in flat(get_args(kind)[0])]
    return tuple(one for one in (*types, *listed) if is_fact(one))


def is_fact(annotation: Any) -> bool:
    """Whether a type is that of a fact."""
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def is_list(annotation: Any) -> bool:
    """Whether a type is a list of any length."""
    return get_origin(annotation) is tuple and Ellipsis in get_args(annotation)


def is_fixed(annotation: Any) -> bool:
    """Whether a type is a list of so many entries."""
    return get_origin(annotation) is tuple and Ellipsis not in get_args(annotation)


def is_table(annotation: Any) -> bool:
    """Whether a type is a table of names."""
    origin = get_origin(annotation)
    return isinstance(origin, type) and issubclass(origin, Mapping)


def lists_facts(annotation: Any) -> bool:
    """Whether a field is a list of facts of several fields, which has a table of its own."""
    types = tuple(flat(annotation))
    return any(map(is_list, types)) and any(
        len(one.model_fields) > 1 for one in facts_held(annotation)
    )
