"""Tags that lie in the head of a coding, where leaving out a container's own tags does not reach them."""

EMPTY = b"\x03vorbis" + bytes(8) + b"\x01"  # no vendor, no comments, the framing bit


def without_comments(head: bytes) -> bytes:
    """The three headers of Vorbis sound, with its comments (artist, place, whatever stood there) emptied.

    They stand one behind the other, the lengths of the first two before them in steps of 255.
    Source: Xiph.Org Foundation, Vorbis I specification, section 5.2.1; the lacing as in Matroska's codec A_VORBIS.
    """
    if not head:
        raise ValueError("no headers")
    place, lengths = 1, []
    for _ in range(head[0]):
        length = 0
        while head[place] == 255:
            length, place = length + 255, place + 1
        lengths.append(length + head[place])
        place += 1
    first = head[place : place + lengths[0]]
    third = head[place + sum(lengths[:2]) :]
    return b"\x02" + _laced(len(first)) + _laced(len(EMPTY)) + first + EMPTY + third


def _laced(length: int) -> bytes:
    return b"\xff" * (length // 255) + bytes([length % 255])
