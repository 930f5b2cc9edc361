"""The questions that a caller may ask, a row each: endpoint, command, examples, answer and print all come from it.

Only the standard library is imported here, since the command line lists the questions before it knows which is asked.
What a row names as "module:function" is imported when it is first used.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pkgutil import resolve_name
from typing import TYPE_CHECKING, Any, get_type_hints

from api.examples import question_examples as bodies
from api.examples.question_examples import Example, ExampleBody

if TYPE_CHECKING:
    from pydantic import BaseModel

    from solver import Effort


@dataclass(frozen=True)
class QuestionRow:
    """A question.

    Attributes:
        name: its command.
        operation: its operation id in the contract.
        path: its address after /v1/; the first part is its tag in the contract.
        summary: its title in the contract.
        description: what the contract says of its answer.
        help: what the command line says of it.
        answered_by: the function that takes a form and an effort and returns the answer; both forms are read off it.
        printed_by: the function that prints the answer.
        examples: example bodies by name; the command line takes the first where no name is given.
        contract_body: the body whose answer the contract shows; the first example where there is none.
        printed_in_full_by: the function that prints all of the answer, where `printed_by` prints less.
        keeps_rows: whether the answer has rows of tools that can be sent back, and so stay metric.
        quick: whether it is answered too quickly to show progress.
        tells_early: whether by lines of JSON it tells part of its answer early.
        takes_kit: whether the command line takes the ids of a kit beside a file that holds a trip.
        over_trips: whether it is asked of many trips, which the command line settles by several processes.
        printed_sure: whether the command line prints with it how sure the kit is, where the body does not say.
    """

    name: str
    operation: str
    path: str
    summary: str
    description: str
    help: str
    answered_by: str
    printed_by: str
    examples: Callable[[], Mapping[str, Example]]
    contract_body: Callable[[], ExampleBody] | None = None
    printed_in_full_by: str | None = None
    keeps_rows: bool = False
    quick: bool = False
    tells_early: bool = False
    takes_kit: bool = False
    over_trips: bool = False
    printed_sure: bool = False

    @property
    def address(self) -> str:
        """Where it is asked over HTTP."""
        return f"/v1/{self.path}"

    @property
    def tag(self) -> str:
        """Its tag in the contract."""
        return self.path.partition("/")[0]

    @cached_property
    def answer(self) -> "Callable[[Any, Effort], BaseModel]":
        """The function that answers a form."""
        found: Callable[[Any, Effort], BaseModel] = resolve_name(self.answered_by)
        return found

    @cached_property
    def form(self) -> "type[BaseModel]":
        """The form of its body: what the first parameter of the answering function is."""
        found: type[BaseModel] = next(iter(get_type_hints(self.answer).values()))
        return found

    @cached_property
    def answer_form(self) -> "type[BaseModel]":
        """The form of its answer: what the answering function returns."""
        found: type[BaseModel] = get_type_hints(self.answer)["return"]
        return found

    def printer(self, *, full: bool) -> Callable[[Any], None]:
        """Return the function that prints the answer."""
        found: Callable[[Any], None] = resolve_name((full and self.printed_in_full_by) or self.printed_by)
        return found

    @property
    def example(self) -> ExampleBody:
        """The first of its example bodies."""
        return next(iter(self.examples().values())).body


ROWS = (
    QuestionRow(
        name="plan",
        operation="post_kit",
        path="kits",
        summary="Plan the lightest kit for a trip",
        description=(
            "Return the provably lightest kit that covers the trip, with reasons, margins, minutes and cautions.\n\n"
            "A trip that no allowed kit covers is a 200 with status `uncovered`, its gaps, and the lightest kit for\n"
            "the rest."
        ),
        help="plan the lightest kit for a trip",
        tells_early=True,
        answered_by="api.questions.kit_questions:answer_plan",
        printed_by="api.printing.kit_summary:print_summary",
        printed_in_full_by="api.printing.kit_print:print_answer",
        examples=bodies.plan_examples,
        contract_body=bodies.least_trip,
        quick=True,
        printed_sure=True,
    ),
    QuestionRow(
        name="front",
        operation="post_front",
        path="kits/front",
        summary="List every non-dominated kit",
        description="Return every kit that no other kit beats in both grams and minutes a day (or grams and price).",
        help="list every kit that no other beats in grams and minutes (or price)",
        answered_by="api.questions.kit_questions:answer_front",
        printed_by="api.printing.question_print:print_front",
        examples=bodies.front_examples,
        contract_body=bodies.short_front,
    ),
    QuestionRow(
        name="check",
        operation="post_check",
        path="kits/check",
        summary="Check a kit of your own",
        description="Return whether a kit covers a trip, its margins, minutes and gaps, and the best first swap.",
        help="check whether a kit of your own covers a trip",
        answered_by="api.questions.kit_questions:answer_check",
        printed_by="api.printing.question_print:print_check",
        examples=bodies.check_examples,
        contract_body=bodies.passing_check,
    ),
    QuestionRow(
        name="bad-night",
        operation="post_bad_night",
        path="kits/bad-night",
        summary="Ask what a kit does on a bad night",
        description=(
            "Return what a kit still does, and in how many minutes, if the trip is longer, colder or wet, if its most\n"
            "used tool is lost, or if one person is hurt; and the lightest kits that bear each case and all of them."
        ),
        help="ask what a kit still does when something goes wrong, and which kits bear it",
        answered_by="api.questions.kit_questions:answer_bad_night",
        printed_by="api.printing.bad_night_print:print_bad_night",
        examples=bodies.bad_night_examples,
        contract_body=bodies.short_night,
        takes_kit=True,
    ),
    QuestionRow(
        name="confidence",
        operation="post_confidence",
        path="kits/confidence",
        summary="Find a kit for uncertain wood",
        description="Return the lightest kit that suffices with a given probability, and the extra mass of each step.",
        help="find the lightest kit that suffices with a probability, where the wood is uncertain",
        answered_by="api.questions.kit_questions:answer_confidence",
        printed_by="api.printing.question_print:print_confidence",
        examples=bodies.confidence_examples,
        contract_body=bodies.certain_wood,
    ),
    QuestionRow(
        name="sure",
        operation="post_sure",
        path="kits/sure",
        summary="Find a kit that does though figures are not known",
        description=(
            "Return with what probability the lightest kit suffices, where every figure that is not known is drawn\n"
            "from its spread, and the lightest kit that suffices in a given share of the draws."
        ),
        help="find the lightest kit that suffices with a probability, where all figures are uncertain",
        answered_by="api.questions.kit_questions:answer_sure",
        printed_by="api.printing.sure_print:print_sure",
        examples=bodies.sure_examples,
        contract_body=bodies.quick_sure,
    ),
    QuestionRow(
        name="season",
        operation="post_season",
        path="kits/season",
        summary="Choose the tools to own for a season",
        description="Return the tools to own and the kit of each trip with the least weighted grams.",
        help="find which tools to own for several trips",
        answered_by="api.questions.kit_questions:answer_season",
        printed_by="api.printing.question_print:print_season",
        examples=bodies.season_examples,
        contract_body=bodies.short_season,
    ),
    QuestionRow(
        name="allowance",
        operation="post_allowance",
        path="designs/allowance",
        summary="Find how much a tool may weigh",
        description=(
            "Return the largest packed mass at which a tool is in a lightest kit: for each trip, and the least of all."
        ),
        help="find what a tool not yet made may weigh",
        answered_by="api.questions.kit_questions:answer_allowance",
        printed_by="api.printing.question_print:print_allowance",
        examples=bodies.allowance_examples,
        contract_body=bodies.saw_allowance,
    ),
    QuestionRow(
        name="adoption",
        operation="post_adoption",
        path="designs/adoption",
        summary="Find on which share of trips a tool is in the lightest kit",
        description=(
            "Return on which share of many trips a tool, a drawing or a pair of tools is in the lightest kit: at its\n"
            "mass, against its mass, why not, what it replaces, and beside rivals.\n\n"
            "A share of kits, not a sales forecast. Where the time ends first, the shares are of the trips settled."
        ),
        help="find on which share of trips a tool, a drawing or a pair of tools is in the lightest kit",
        answered_by="api.questions.kit_questions:answer_adoption",
        printed_by="api.printing.adoption_print:print_adoption",
        examples=bodies.adoption_examples,
        contract_body=bodies.short_adoption,
        over_trips=True,
    ),
    QuestionRow(
        name="sweep",
        operation="post_sweep",
        path="designs/sweep",
        summary="Find the best of many designs for a trip",
        description=(
            "Return the design with the lightest kit, the front against margin or minutes, and the limits that stop "
            "it.\n\nEvery design is a column of the program. A kit holds at most one of them."
        ),
        help="find the best of many designs of a tool for a trip",
        answered_by="api.questions.kit_questions:answer_sweep",
        printed_by="api.printing.sweep_print:print_sweep",
        examples=bodies.sweep_examples,
        keeps_rows=True,
    ),
    QuestionRow(
        name="best-design",
        operation="post_best_design",
        path="designs/best",
        summary="Search the best measures of a design for one trip or several",
        description=(
            "Return the measures whose lightest kits save most grams over the trips: a heuristic's best, whose kits\n"
            "are exact. With what holds it, how far each measure may move, the best at each thickness of steel that\n"
            "is sold, and the front of mass, grams saved, margin of safety and price."
        ),
        help="search the best measures of a drawn tool for one trip or several",
        answered_by="api.questions.kit_questions:answer_best_design",
        printed_by="api.printing.best_design_print:print_best_design",
        examples=bodies.best_design_examples,
        contract_body=bodies.short_best_design,
        keeps_rows=True,
    ),
    QuestionRow(
        name="minimum-section",
        operation="post_minimum_section",
        path="designs/minimum-section",
        summary="Find the least spine and edge of a knife",
        description=(
            "Return how thin the spine and how acute the edge may be before the first case fails: it stays bent,\n"
            "snaps or is floppy, or its edge rolls or chips."
        ),
        help="find how thin the spine and how acute the edge of a drawn knife may be",
        answered_by="api.questions.kit_questions:answer_minimum_section",
        printed_by="api.printing.section_print:print_minimum_section",
        examples=bodies.minimum_section_examples,
        quick=True,
    ),
    QuestionRow(
        name="tolerance",
        operation="post_tolerance",
        path="designs/tolerance",
        summary="Find how much pieces of a drawing differ",
        description=(
            "Return how mass, balance, margins of strength and scores spread over pieces whose measures lie within\n"
            "their tolerances, and which measure matters most to each."
        ),
        help="find how much pieces of a drawing differ, and which measure matters most",
        answered_by="api.questions.kit_questions:answer_tolerance",
        printed_by="api.printing.section_print:print_tolerance",
        examples=bodies.tolerance_examples,
        contract_body=bodies.short_tolerance,
    ),
)
QUESTIONS = {row.name: row for row in ROWS}
