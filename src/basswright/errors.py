"""What can go wrong, as one tree that every front end knows how to show.

::

    BasswrightError
    ├── InputError          one value that a person or a file gave cannot be used
    │   └── QuantityError   ... because it is not a number with a unit that we know
    ├── InputErrors         several of them at once, each with its place
    ├── NotFoundError       a name that nothing answers to
    ├── EmptyStoreError     the store holds nothing to choose from yet
    ├── ConflictError       the store holds something newer than what was edited
    ├── TooLargeError       a file beyond the stated limit, refused before it is read
    └── MissingPartError    an optional part of the program is not installed

Each error carries what it is about as attributes, so that a table, a form and a
terminal can each show it in their own way.
"""

from __future__ import annotations

from collections.abc import Iterable


class BasswrightError(Exception):
    """Base of every error that the program raises on purpose."""


class InputError(BasswrightError):
    """One value that cannot be used.

    Parameters
    ----------
    problem : str
        What is wrong, as a sentence without the place.
    item : str
        What the value belongs to: a file, a row ("row 12"), a record's id.
    field : str
        Dotted path of the field or name of the column.
    value : object
        What was read.
    allowed : str
        What would be accepted.
    """

    def __init__(
        self,
        problem: str,
        *,
        item: str = "",
        field: str = "",
        value: object = None,
        allowed: str = "",
    ) -> None:
        self.problem = problem
        self.item = item
        self.field = field
        self.value = value
        self.allowed = allowed
        super().__init__(self._sentence())

    def _sentence(self) -> str:
        place = ", ".join(part for part in (self.item, self.field) if part)
        text = f"{place}: {self.problem}" if place else self.problem
        if self.value is not None:
            text += f" (read: {_shown(self.value)})"
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        return text

    def at(self, *, item: str | None = None, field: str | None = None) -> InputError:
        """Return the same error with its place filled in."""
        return type(self)(
            self.problem,
            item=self.item if item is None else item,
            field=self.field if field is None else field,
            value=self.value,
            allowed=self.allowed,
        )

    def __reduce__(self) -> tuple[object, ...]:
        return (
            _rebuild_input_error,
            (type(self), self.problem, self.item, self.field, self.value, self.allowed),
        )


class QuantityError(InputError):
    """A text that is not a number with a unit of the wanted kind."""


class InputErrors(BasswrightError):  # noqa: N818
    """Several input errors at once, in the order in which they were met."""

    def __init__(self, errors: Iterable[InputError], *, item: str = "") -> None:
        self.errors = tuple(errors)
        self.item = item
        head = f"{item}: " if item else ""
        count = len(self.errors)
        lines = [f"{head}{count} problem{'s' if count != 1 else ''}"]
        lines += [f"  - {error}" for error in self.errors]
        super().__init__("\n".join(lines))

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild_input_errors, (self.errors, self.item))


class NotFoundError(BasswrightError):
    """A name that nothing answers to.

    Parameters
    ----------
    what : str
        The kind of thing that was looked for ("job", "enclosure", "option").
    name : str
        What was asked for.
    near : tuple of str
        Names that exist and come nearest.
    """

    def __init__(self, what: str, name: str, near: tuple[str, ...] = ()) -> None:
        self.what = what
        self.name = name
        self.near = near
        hint = f"; there is: {', '.join(near)}" if near else ""
        super().__init__(f"no {what} called {_shown(name)}{hint}")

    def __reduce__(self) -> tuple[object, ...]:
        return (NotFoundError, (self.what, self.name, self.near))


class EmptyStoreError(BasswrightError):
    """The store holds no boxes yet; the text tells how to fill it."""

    def __init__(self) -> None:
        super().__init__(
            "the store holds no boxes yet; fill it with 'basswright catalogue make-demo' "
            "or 'basswright catalogue import FILE'"
        )


class ConflictError(BasswrightError):
    """Somebody else changed the thing after it was read."""


class TooLargeError(BasswrightError):
    """A file or table beyond the stated limit."""


class MissingPartError(BasswrightError):
    """An optional package is not installed; the text names the extra."""

    def __init__(self, part: str, extra: str) -> None:
        self.part = part
        self.extra = extra
        super().__init__(f"{part} is not installed; pip install 'basswright[{extra}]'")

    def __reduce__(self) -> tuple[object, ...]:
        return (MissingPartError, (self.part, self.extra))


def _shown(value: object) -> str:
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _rebuild_input_error(
    kind: type[InputError], problem: str, item: str, field: str, value: object, allowed: str
) -> InputError:
    return kind(problem, item=item, field=field, value=value, allowed=allowed)


def _rebuild_input_errors(errors: tuple[InputError, ...], item: str) -> InputErrors:
    return InputErrors(errors, item=item)
