// How the body lies in the wood: what its placement forgives, what is to be
// planed off, and the wedges that hold the slab for it.

const $ = id => document.getElementById(id)

function cell(name, words, attributes = {}) {
  const e = document.createElement(name)
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v)
  e.textContent = words
  return e
}

/** Shows what the server says of the lie; top and bottom are the planing maps. */
export function showLie(l, top, bottom) {
  $("lie").classList.remove("stale")
  $("leeway").textContent = l.leeway
    ? `The saw may wander ${l.leeway} in any direction before the body comes too near to anything.`
    : "The placement does not pass, so there is nothing to forgive."
  $("ways").hidden = !l.leeway
  $("ways").tBodies[0].replaceChildren(...l.ways.map(w => {
    const row = document.createElement("tr")
    const sign = cell("th", "", { scope: "row", title: w.way, "aria-label": w.way })
    sign.append(cell("span", w.sign, { class: "arrow" }))
    row.append(sign, cell("td", w.by), cell("td", w.until),
      cell("td", w.allowed ? w.cost : "no", w.allowed ? {} : { title: "A move so far is not allowed", class: "not" }))
    return row
  }))

  $("plane").textContent = `Best plane here: ${l.plane.words}. Proven: none has more than ${l.plane.bound}.`
  $("lay").hidden = !l.plane.better
  $("lay").dataset.exact = JSON.stringify(l.plane.exact)
  $("lay").dataset.placement = JSON.stringify(l.plane.placement)
  for (const [id, side, svg] of [["planing-top", l.over, top], ["planing-bottom", l.under, bottom]]) {
    if (svg) $(id).replaceChildren(document.importNode(svg, true))
    $(`${id}-says`).textContent = `: ${side.least} to ${side.most}`
    $(`${id}-says`).classList.toggle("bad", side.breaks_through)
    if (side.breaks_through) $(`${id}-says`).append(", breaks through")
  }
  $("wedge-words").textContent = l.wedges.length
    ? "Wedges under the slab’s bottom that bring the body’s faces level on the bench, under its"
    : "The slab lies on the bench as the body lies in it: no wedges."
  $("wedges").replaceChildren(...l.wedges.map(w => {
    const pair = document.createElement("div")
    pair.append(cell("dt", w.name), cell("dd", w.height))
    return pair
  }))
}
