// Taking back: a view of its own, whose buttons lie where no thumb that counts can meet them.

function stageWords(e) {
  return e.stage === plan.stages[0] ? "" : ` ${e.stage}`;
}

/** An event in words. */
function eventWords(e) {
  switch (e.o) {
    case "add": return `${e.n > 0 ? "+" : "−"}${Math.abs(e.n)}${stageWords(e)}${e.m > 0 ? ` at ${e.m} min` : ""}`;
    case "none": return "none found";
    case "done": return "done";
    case "area": return "the size of the area";
    case "note": return "the note";
    default: return "going on with another's count";
  }
}

VIEWS.correct = {
  first: "correct-back",
  show() {
    const own = ownUnit();
    const count = own ? own.counts.get(here.stage) || 0 : 0;
    put("correct-where", `Plot ${here.plot}, ${sampleWords(here.sample, here.minutes)}, ${here.stage}`);
    put("correct-number", String(count));
    put("minus", `One too many: −1 ${here.stage}`);
    $("minus").disabled = count === 0;
    const { last, back } = lastOf(state, placeOf());
    put("undo", last ? `Take back: ${eventWords(last)}` : "Nothing to take back");
    $("undo").disabled = !last;
    $("redo").hidden = !back;
    if (back) put("redo", `Put back: ${eventWords(back)}`);
  },
};

function readyCorrect() {
  const change = (make) => () => settled() && act(async () => {
    const e = make();
    if (e) await keep(e);
    buzz([40, 40, 40, 40]);
    show();
  });
  const own = () => ownUnit() && ownUnit().counts.get(here.stage) > 0;
  press("minus", change(() => own() && { o: "add", k: placeOf(), m: here.minutes, stage: here.stage, n: -1 }));
  press("undo", change(() => {
    const { last } = lastOf(state, placeOf());
    return last && { o: "undo", of: last.id };
  }));
  press("redo", change(() => {
    const { back } = lastOf(state, placeOf());
    return back && { o: "redo", of: back.id };
  }));
  press("correct-back", () => act(() => go("count")));
}
