"""One person before the site."""

from dataclasses import dataclass

from playwright.sync_api import Page


@dataclass
class Visit:
    """One person's page on the live site."""

    page: Page
    home: str

    def go(self, path: str) -> Page:
        """Open an address of the site."""
        self.page.goto(self.home + path)
        return self.page

    def press(self, name: str) -> None:
        """Press a button by its words."""
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=name, exact=True).first.click()

    def follow(self, name: str) -> None:
        """Follow a link by its words."""
        with self.page.expect_navigation():
            self.page.get_by_role("link", name=name).first.click()

    def fill(self, **fields: str) -> None:
        """Fill fields by their names in the last form that has them."""
        for name, text in fields.items():
            self.page.locator(f"[name={name}]").last.fill(text)

    def choose(self, **fields: str) -> None:
        """Choose in lists by their fields' names, by the words that stand there."""
        for name, words in fields.items():
            self.page.locator(f"[name={name}]").last.select_option(label=words)
