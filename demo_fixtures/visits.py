"""Who looked: two months of views of the invented stock, the same on every load."""

from collections import Counter
from random import Random

from catalog.models import Instrument
from catalog.visits.actions import set_views
from catalog.visits.rules import Key
from demo_fixtures.clock import Clock

DAYS = 60
SEED = 1927
# Invented sites, with how often one view in a hundred came from there; the rest told nothing.
HOSTS = {"searchsite.example": 22, "fretwork-forum.example": 9, "tenor-notes.example": 3, "mail.example": 2}


def load_visits(*, clock: Clock) -> None:
    """Views of each public piece from the day it was listed, more of them in its first week."""
    chance = Random(SEED)
    pieces = [
        (piece.stock_id, piece.listed_at.astimezone(clock.zone).date(), chance.uniform(0.3, 2.5))
        for piece in Instrument.objects.public().order_by("stock")
        if piece.listed_at
    ]
    for days_ago in range(DAYS, -1, -1):
        day = clock.day(days_ago)
        views: Counter[Key] = Counter()
        for stock, listed, liking in pieces:
            for _ in range(_looks(chance, liking, (day - listed).days)):
                views[stock, _host(chance)] += 1
        set_views(day, views)


def _looks(chance: Random, liking: float, days_listed: int) -> int:
    """None before it was listed; about three times as many while it is new."""
    if days_listed < 0:
        return 0
    return int(chance.expovariate(1 / (liking * (3 if days_listed < 7 else 1))))


def _host(chance: Random) -> str:
    drawn, upto = chance.randrange(100), 0
    for host, share in HOSTS.items():
        upto += share
        if drawn < upto:
            return host
    return ""
