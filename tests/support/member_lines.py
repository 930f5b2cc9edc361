"""Lines that say who goes and what each carries at most, as cells and the page take them alike."""

READ = {
    "Ann:4000|Ben:2500": [("Ann", 4000), ("Ben", 2500)],
    "Ann 4000; Ben 2500": [("Ann", 4000), ("Ben", 2500)],
    " Ann : 4000 |Ben O. 1250.5; ": [("Ann", 4000), ("Ben O.", 1250.5)],
    "Ann  Lee 90;Cy-2:0": [("Ann Lee", 90), ("Cy-2", 0)],
    "a:b:7": [("a:b", 7)],
    "Ann 4000, Ben O. 1250.5": [("Ann", 4000), ("Ben O.", 1250.5)],
    "Ann 1:200; Camp 2 90": [("Ann 1", 200), ("Camp 2", 90)],
    "Ann:4000 , Ben:2500|Cy 300": [("Ann", 4000), ("Ben", 2500), ("Cy", 300)],
}
# The part at fault, and what is said of it.
REFUSED = {
    "Ann 4000; Ben": ("Ben", "does not end with grams; write Ann"),
    "Ann:4000|Ben:": ("Ben:", "does not end with grams; write Ann"),
    "Ann:heavy|Ben:2500": ("Ann:heavy", "does not end with grams; write Ann"),
    "Ann 4000 g; Ben 2500": ("Ann 4000 g", "does not end with grams; write Ann"),
    "Ann 4000; 2500": ("2500", "has no name before it; write Ann"),
    "Ann 4000|:2500": (":2500", "has no name before it; write Ann"),
    "Ann 4000, 5 Ben 2500": ("Ann 4000, 5 Ben 2500", "holds a comma; separate the members with | or ;"),
    "Ann 4000,Ben 2500": ("Ann 4000,Ben 2500", "holds a comma; separate the members with | or ;"),
    "Ann 1 200; Ben 2500": ("Ann 1 200", "may end with 1200 or with 200; write Ann:1200, or Ann 1:200"),
    "Ann 4000; Ann 2500": ("Ann", "stands twice; give each member a name of their own"),
}
