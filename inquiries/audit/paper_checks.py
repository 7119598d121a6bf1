"""Issued papers: numbered without a gap, each version after the one it cancels, and never changed since."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import datetime

from inquiries.audit.checks import check
from inquiries.audit.rules import Finding, missing_numbers
from inquiries.audit.sale_checks import NOT_BY_A_DEED
from inquiries.papers.models import IssuedPaper
from inquiries.papers.rules import LETTERS, digest
from shop.numbers.models import Series


@check("what stands on papers")
def contents(at: datetime) -> Iterator[Finding]:
    """What stands on an issued paper has the hash that was taken when it was issued."""
    for paper in IssuedPaper.objects.order_by("pk").iterator(chunk_size=200):
        if digest(paper.content) != paper.sha256:
            yield Finding(str(paper), "what stands on it is not what was issued.", NOT_BY_A_DEED)


@check("numbers and versions of papers")
def numbers(at: datetime) -> Iterator[Finding]:
    """Each kind of paper runs on through the year without a gap, and each version cancels the one before it."""
    given: dict[str, list[int]] = defaultdict(list)
    versions: dict[tuple[str, str], list[IssuedPaper]] = defaultdict(list)
    for paper in IssuedPaper.objects.select_related("cancels").order_by("version", "pk"):
        year, _, place = paper.number[1:].partition("-")
        given[f"{paper.kind} {year}"].append(int(place))
        versions[paper.kind, paper.number].append(paper)
    last = dict(Series.objects.values_list("name", "last"))
    series = {name for name in last if name.partition(" ")[0] in LETTERS}
    for name in sorted(given.keys() | series):
        if missing := missing_numbers(given[name], first=1, last=last.get(name, 0)):
            yield Finding(
                f"Papers, {name}",
                f"{', '.join(map(str, missing))} is missing of those issued.",
                NOT_BY_A_DEED,
            )
    for papers in versions.values():
        yield from _versions(papers)


def _versions(papers: list[IssuedPaper]) -> Iterator[Finding]:
    before = None
    for version, paper in enumerate(papers, start=1):
        if paper.version != version or paper.cancels != before:
            yield Finding(str(paper), "it does not cancel the version before it.", NOT_BY_A_DEED)
        before = paper
