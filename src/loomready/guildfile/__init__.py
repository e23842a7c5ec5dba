"""The guild file: one readable TOML file of what a guild owns and plans. TOML <-> model, the one codec.

A file becomes a tree (:func:`parse`), a tree becomes the model (:func:`decode`), and back
(:func:`encode`, :func:`dumps`); :func:`load` does it for a file and the drafts beside it. Single
records go the same way (:func:`decode_record`, :func:`encode_record`; as text :func:`from_json`,
:func:`to_json`).
"""

from loomready.guildfile.as_json import from_fields, from_json, to_json
from loomready.guildfile.decode import decode, decode_record
from loomready.guildfile.encode import apply, dumps, encode, encode_record
from loomready.guildfile.load import Loaded, load
from loomready.guildfile.toml import parse

__all__ = [
    "Loaded",
    "apply",
    "decode",
    "decode_record",
    "dumps",
    "encode",
    "encode_record",
    "from_fields",
    "from_json",
    "load",
    "parse",
    "to_json",
]
