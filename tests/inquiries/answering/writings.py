"""Ways in which people write an amount, for tests that try them all."""

from collections.abc import Callable

UNITS = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def grouped(amount: int, mark: str) -> str:
    """12500 as 12,500 with another mark."""
    return f"{amount:,}".replace(",", mark)


def in_words(amount: int) -> str:
    """An amount in English words."""
    if amount < 20:
        return UNITS[amount]
    if amount < 100:
        tens, rest = divmod(amount, 10)
        return TENS[tens] + (f"-{UNITS[rest]}" if rest else "")
    if amount < 1000:
        hundreds, rest = divmod(amount, 100)
        return f"{UNITS[hundreds]} hundred" + (f" and {in_words(rest)}" if rest else "")
    if amount < 1_000_000:
        thousands, rest = divmod(amount, 1000)
        joint = " and " if 0 < rest < 100 else " "
        return f"{in_words(thousands)} thousand" + (f"{joint}{in_words(rest)}" if rest else "")
    millions, rest = divmod(amount, 1_000_000)
    return f"{in_words(millions)} million" + (f" {in_words(rest)}" if rest else "")


def in_thousands(amount: int) -> str:
    """12500 as 12.5k."""
    return f"{amount / 1000:.3f}".rstrip("0").rstrip(".") + "k"


WRITINGS: dict[str, Callable[[int], str]] = {
    "grouped by commas": lambda amount: grouped(amount, ","),
    "with cents": lambda amount: grouped(amount, ",") + ".00",
    "grouped by stops": lambda amount: grouped(amount, "."),
    "grouped by stops, with cents": lambda amount: grouped(amount, ".") + ",00",
    "grouped by blanks": lambda amount: grouped(amount, " "),
    "grouped by blanks, with cents": lambda amount: grouped(amount, " ") + ",00",
    "grouped by fixed blanks": lambda amount: grouped(amount, "\u00a0"),
    "grouped by narrow blanks": lambda amount: grouped(amount, "\u202f"),
    "grouped as in Switzerland": lambda amount: grouped(amount, "’") + ".-",
    "with a sign": lambda amount: f"${amount}",
    "with a sign, in groups": lambda amount: "$" + grouped(amount, ","),
    "with a code": lambda amount: f"USD {amount}",
    "with a word": lambda amount: f"{amount} dollars",
    "bare, of money": lambda amount: f"I paid {amount}",
    "in thousands": in_thousands,
    "in thousands, with a sign": lambda amount: "$" + in_thousands(amount),
    "in thousands, with a comma": lambda amount: in_thousands(amount).replace(".", ","),
    "in wide digits": lambda amount: "".join(chr(ord(sign) + 0xFEE0) for sign in f"{amount}") + " dollars",
    "in words": lambda amount: f"{in_words(amount)} dollars",
    "in words, with capitals": lambda amount: in_words(amount).title() + " Dollars",
    "in capitals": lambda amount: in_words(amount).upper() + " BUCKS",
}
