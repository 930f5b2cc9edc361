"""Write the kits of the traveller's trips as a table: `python tests traveller_table`, then read it as a traveller."""

from long_clocks import end_by_nodes
from traveller_table_text import TABLE, table_text


def main() -> None:
    """Fill the table."""
    end_by_nodes()
    TABLE.write_text(table_text(), "utf-8")
    print(table_text())


if __name__ == "__main__":
    main()
