"""Linked data found in a page, and what the published vocabulary of schema.org says against it."""

import json
import re
import warnings
from collections.abc import Iterator
from functools import cache
from typing import Any

from rdflib import RDF, RDFS, BNode, Graph, Literal, Namespace, URIRef
from rdflib.term import Node

from tests.support.vocabulary import KEPT

SCHEMA = Namespace("https://schema.org/")
# schema.org's own context names every term by the vocabulary's name for it; this one does so without a server.
CONTEXT = {"@vocab": str(SCHEMA)}
BLOCK = re.compile(r'<script type="application/ld\+json">(.*?)</script>', re.DOTALL)
DATE = re.compile(r"[0-9]{4}(?:-[0-9]{2}(?:-[0-9]{2})?)?")  # ISO 8601, as schema.org asks of a Date
NUMBERS = {"integer": "Integer", "double": "Float", "decimal": "Float"}


def blocks(page: str) -> list[Any]:
    """Every block of linked data in a page, as a browser hands it to a program."""
    return [json.loads(text) for text in BLOCK.findall(page)]


def graph_of(values: dict[str, Any]) -> Graph:
    """The statements of a block that is written in the words of schema.org."""
    assert values["@context"] == "https://schema.org"
    return _read(json.dumps({**values, "@context": CONTEXT}))


@cache
def vocabulary() -> Graph:
    """The part of the published vocabulary that is kept here."""
    return _read(KEPT.read_text(encoding="utf-8"))


def _read(text: str) -> Graph:
    with warnings.catch_warnings():
        # The library's own reader of JSON-LD uses a class of the library that it calls old.
        warnings.simplefilter("ignore", DeprecationWarning)
        return Graph().parse(data=text, format="json-ld")


def faults(graph: Graph) -> list[str]:
    """Each statement that the vocabulary does not allow, in a sentence."""
    return [says for s, p, o in graph for says in _faults_of(graph, s, p, o)]


def _faults_of(graph: Graph, s: Node, p: Node, o: Node) -> Iterator[str]:
    if p == RDF.type:
        if (o, RDF.type, RDFS.Class) not in vocabulary():
            yield f"{o} is no class"
        return
    if (p, RDF.type, RDF.Property) not in vocabulary():
        yield f"{p} is no property"
        return
    if any(vocabulary().objects(p, SCHEMA.supersededBy)):
        yield f"{p} is superseded"
    if not _classes(graph, s) & set(vocabulary().objects(p, SCHEMA.domainIncludes)):
        yield f"{p} does not belong to {sorted(_classes(graph, s))}"
    if not _classes(graph, o) & set(vocabulary().objects(p, SCHEMA.rangeIncludes)):
        yield f"{p} does not take {o!r}"
    if str(o).startswith(SCHEMA) and not any(vocabulary().objects(URIRef(str(o)), RDF.type)):
        yield f"{o} is not in the vocabulary"


def _classes(graph: Graph, node: Node) -> set[Node]:
    """What a node may count as: its own classes, and all that they descend from."""
    if isinstance(node, Literal):
        named = {URIRef(SCHEMA[name]) for name in _of_literal(node)} | _of_member(str(node))
    else:
        named = set(graph.objects(node, RDF.type)) or ({SCHEMA.Thing} if isinstance(node, URIRef) else set())
    return {above for one in named for above in vocabulary().transitive_objects(one, RDFS.subClassOf)}


def _of_literal(node: Literal) -> Iterator[str]:
    kind = str(node.datatype or "").rpartition("#")[2]
    if kind in NUMBERS:
        yield NUMBERS[kind]
    elif kind == "boolean":
        yield "Boolean"
    else:
        yield "Text"
        if re.match(r"https?://", node):
            yield "URL"
        if DATE.fullmatch(node):
            yield "Date"


def _of_member(text: str) -> set[Node]:
    return set(vocabulary().objects(URIRef(text), RDF.type)) if text.startswith(SCHEMA) else set()


def things(graph: Graph, kind: str) -> list[Node]:
    """Everything of a class."""
    return list(graph.subjects(RDF.type, SCHEMA[kind]))


def said(graph: Graph, thing: Node, *names: str) -> Any:
    """What is said of a thing by the names that lead to it, one after the other; None where nothing is."""
    found: Node | None = thing
    for name in names:
        found = graph.value(found, SCHEMA[name]) if found is not None else None
    return found if found is None or isinstance(found, BNode) else found.toPython()  # type: ignore[attr-defined]
