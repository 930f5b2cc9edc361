"""POST /v1/kits/front against a published set of non-dominated points.

The instance is 2scp11A of the bi-objective set covering problems of Gandibleux, Vancoppenolle and Tuyttens
(14th International Conference on Multiple Criteria Decision Making, 1998), as the public collections vOptLib and
Modolib.jl hold it; the points are those that Modolib.jl gives for it. Ten rows, a hundred columns with two costs:
here a column is a tool, its first cost its grams and its second its price. A tool that must go needs a companion
out of each row.
"""

from oracle import Row
from service import kit_of

GRAMS = """
   29   54   82   28   35   17   11   39   44   59   51   21    2   13   91   63   57   83   74   98
   38   32   92   53   20   27   62   63   69   95    6   84   35   90   77   24   71   33   70   27
   57   87   85   98   30   49   97   65   31   93   63   13   67   66   14   56   69   81   93   79
   24   83   58  100   90   82   57   52   82   51   93    9   17   29   50   39   90   11    5    9
   86   98   17   94   65   93   85   68   77   23   95   94   40   64   45   38   13   34   86    9
"""
PRICES = """
   17   39   95   86   56   16   66   69   34   50   75   81   29   33   96   89   52   12   26    3
   24   44   28   30   23    6   78   80   65   43   35   65   71   21   74   83    3   75   40   39
   22   67    9   30   59   99   87   13   65   29   53   77   14   15   33   58   61   15   92   23
   51   23   69   28   93   52   40   11   20   41   38   90   86   84   91   95   22  100   68   43
   72    9    5   10    5   69   78   99   50   64   36   70   77   63   28   91   24   85   76   83
"""
ROWS = """
1 3 4 5 7 9 14 15 17 24 33 34 39 64 65 67 70 71 80 84 85 88 96
2 3 5 7 8 11 16 26 31 32 42 48 57 59 63 78 83 84 92
15 27 29 30 40 54 55 58 63 72 88 94 95 98
9 10 11 13 20 25 36 45 56 57 66 69 74 77 81 82 86 90 91 97 100
1 4 17 18 21 23 26 27 34 39 44 45 46 47 51 59 76 77 87 94
3 6 8 12 28 30 38 42 47 60 71 74 87 100
24 35 36 37 43 47 49 53 58 65 70 73 76 78 90 92 99
16 18 19 21 23 29 38 41 51 52 64 65 66 67 75 86 89 91 96 99
10 12 17 22 28 32 33 35 39 43 44 46 50 51 61 62 81 82 89 93 98
2 19 23 29 34 36 40 44 46 48 49 50 56 59 60 68 74 75 79 81 86 89 93
"""
POINTS = """
89 531, 90 462, 95 405, 100 378, 103 343, 107 326, 108 287, 120 274, 123 269, 127 259, 129 251, 139 246, 141 238,
144 233, 145 232, 148 223, 156 219, 158 208, 164 207, 168 202, 176 194, 177 183, 179 172, 190 164, 199 155, 210 150,
215 139, 223 132, 228 127, 241 126, 246 121, 273 115, 295 111, 307 110, 310 105, 316 88, 362 77, 409 70, 423 69
"""
ANCHOR = "anchor"


def trip() -> Row:
    """The instance as a trip."""
    costs = zip(map(int, GRAMS.split()), map(int, PRICES.split()), strict=True)
    tools: list[Row] = [
        {"id": f"t{n}", "kind": "column", "mass_g": grams, "price": price}
        for n, (grams, price) in enumerate(costs, start=1)
    ]
    needs = [[f"t{n}" for n in row.split()] for row in ROWS.strip().splitlines()]
    able = {"carve_score": 10, "carve_max_mm": 100}
    tools.append({"id": ANCHOR, "kind": "anchor", "mass_g": 0, "price": 0, "needs": needs, **able})
    tasks = [{"task": "carve", "diameter_mm": 20}]
    return {"tools": tools, "must_carry": [ANCHOR], "tasks": tasks, "field_methods": False}


def test_the_front_is_the_published_one() -> None:
    """All 39 points, no other, and each kit has a member of every row."""
    answer = kit_of({"trip": trip(), "against": "price"}, address="/v1/kits/front")
    published = [tuple(map(int, point.split())) for point in POINTS.replace("\n", " ").split(",")]
    assert len(published) == 39
    assert answer["status"] == "optimal"
    assert [(point["mass_g"], point["price"]) for point in answer["points"]] == published
    for point in answer["points"]:
        assert all({*point["ids"]} & {f"t{n}" for n in row.split()} for row in ROWS.strip().splitlines())
