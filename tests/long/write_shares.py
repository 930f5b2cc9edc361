"""Write the guide's table of shares over 1,000 trips anew: `python tests write_shares`, then read the page's words."""

from maker_shares import MARKS, PAGE, TABLE, TRIPS, marks_of, offers, table_of


def main() -> None:
    """Ask every trip of every offer, keep what each says, and fill the table."""
    marks = {name: "".join(marks_of(offer, range(TRIPS))) for name, offer in offers().items()}
    MARKS.write_text("offer,marks\n" + "".join(f"{name},{told}\n" for name, told in marks.items()), "utf-8")
    table = table_of(marks)
    PAGE.write_text(TABLE.sub(f"<!-- shares -->\n{table}", PAGE.read_text("utf-8")), "utf-8")
    print(table)


if __name__ == "__main__":
    main()
