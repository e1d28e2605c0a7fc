"""What every value of the document is: frozen, compared by what it holds, and short in the file."""

from __future__ import annotations

import msgspec


class Value(msgspec.Struct, frozen=True, omit_defaults=True, forbid_unknown_fields=True):
    """A frozen value whose unset fields are left out of the file."""
