// Counts from elsewhere: another phone, a copy of this one, lines read out. What they would change is told before anything is taken in.

/** Rows that were checked as counts of samples, each by one counter. */
function unitsOfRows(rows, from) {
  const units = new Map();
  const notes = [];
  for (const row of rows) {
    const k = [row.occasion, row.plot, row.sample];
    const told = row.note.split("; ").filter((t) => t !== UNFINISHED).join("; ");
    if (row.count === "") {
      if (told) notes.push({ k, text: told });
      continue;
    }
    const minutes = Number(row.minutes_after_lift || 0);
    const counter = row.counter || from;
    const at = keyOf([k, minutes, counter]);
    const unit = units.get(at) || {
      k, m: minutes, counter, counts: [], done: true, at: row.counted_at || row.date, area: row.area_m2 === "" ? null : Number(row.area_m2), note: "",
    };
    unit.counts.push([row.stage, Number(row.count)]);
    if (row.note.includes(UNFINISHED)) unit.done = false;
    unit.note = unit.note || told;
    units.set(at, unit);
  }
  return { units: [...units.values()], notes };
}

/** What taking the counts in would do, and the counts that are worth taking in. */
function mergePlan(state, plan, given) {
  const told = { fresh: 0, same: 0, agree: 0, differ: [], replaced: [] };
  const units = [];
  for (const unit of given.units) {
    const sample = state.samples.get(keyOf(unit.k));
    const here = sample && sample.units.get(unit.m);
    const entries = here ? entriesOf(state, sample, here) : [];
    const theirs = entry(unit.at, unit.counts, unit.done);
    Object.assign(theirs, { area: unit.area, counter: unit.counter, note: unit.note });
    const mine = isMine(state, unit.counter);
    const before = entries.find((e) => (mine ? e.own : e.counter === unit.counter));
    const stages = stagesOf([theirs, ...entries], plan.stages);
    const equal = (e) => saying(e, stages) === saying(theirs, stages) && e.done === theirs.done;
    if (before && equal(before)) {
      told.same += 1;
      continue;
    }
    const place = { k: unit.k, m: unit.m, theirs: inWords(theirs, stages), counter: unit.counter };
    if (before && mine) {
      // An older copy of this phone's own count never takes its place.
      units.push(Object.assign({}, unit, { counter: unit.counter + " (copy)" }));
      told.differ.push(Object.assign(place, { here: inWords(before, stages) }));
      continue;
    }
    units.push(unit);
    const others = entries.filter((e) => e !== before);
    const other = others.find((e) => saying(e, stages) !== saying(theirs, stages));
    if (before) told.replaced.push(Object.assign({}, place, { here: inWords(before, stages) }));
    else if (other) told.differ.push(Object.assign(place, { here: inWords(other, stages) }));
    else if (others.length > 0) told.agree += 1;
    else told.fresh += 1;
  }
  const known = (n) => {
    const sample = state.samples.get(keyOf(n.k));
    return sample && sample.note === n.text;
  };
  const notes = given.notes.filter((n) => !known(n));
  return { units, notes, told };
}
