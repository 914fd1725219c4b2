// The page: one placement, what the maker does to it, and what the server says
// of it. All judgement is the server's; this script moves, asks and shows.

import { inverse, matrix, toDrawing, turned } from "./frame.js"
import { Stage, make } from "./stage.js"
import { showLie } from "./lie.js"
import { showChecks, showScore, showStamp, showWeights } from "./verdict.js"
import { Search } from "./search.js"

const $ = id => document.getElementById(id)
const page = $("bench")
const state = JSON.parse(page.dataset.state)
const fieldNames = ["x", "y", "angle", "height", "pitch", "roll"]

// --- talking to the server -------------------------------------------------

class Refused extends Error {
  constructor({ message, field }) { super(message); this.field = field }
}

async function post(path, body) {
  let answer
  try {
    answer = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) })
  } catch {
    throw new Refused({ message: "slabwright does not answer; is it still running in its terminal?" })
  }
  if (answer.ok) return answer
  let error = { message: `the server answered ${answer.status}` }
  try { error = (await answer.json()).error } catch { /* not one of ours */ }
  throw new Refused(error)
}

const say = words => { $("say").textContent = words }

// --- the placement -----------------------------------------------------------

// now: numbers, for the drawing. words: what is sent, exact or as typed.
let now = numbers(state.verdict.placement)
let words = state.verdict.exact
let bench = state.bench
let verdict = null
let spotted = "" // name of the check that is marked on the drawing
let asking = false, again = false, redraw = 0, version = 0

function numbers(p) {
  return { x: p.x_mm, y: p.y_mm, angle: p.angle_deg, height: p.height_mm, pitch: p.pitch_deg, roll: p.roll_deg, face: p.face }
}

const auto = () => $("auto").checked
const request = () => (auto() ? { ...words, height: "", pitch: "", roll: "" } : words)
const exact = p => ({
  x: `${plain(p.x)} mm`, y: `${plain(p.y)} mm`, angle: plain(p.angle), height: `${plain(p.height)} mm`,
  pitch: plain(p.pitch), roll: plain(p.roll), face: p.face,
})
const plain = v => v.toFixed(6)

/** Takes a placement in numbers, from a hand or a key. */
function move(p, done) {
  search.letGo()
  now = p
  words = exact(p)
  stage.put(p)
  sideFollows()
  frontFollows()
  ask()
  if (done) say("")
}

/** Takes a placement in exact words, from the server. */
function go(exactWords, p) {
  if (p) {
    now = numbers(p)
    if (stage.fits(now)) { stage.put(now); frontFollows() }
  }
  if (!auto() || (p && (p.pitch_deg || p.roll_deg))) $("auto").checked = false, tilts()
  words = exactWords
  ask()
}

/** Asks for the verdict: one question at a time, the last one wins. */
async function ask() {
  version++
  $("lie").classList.add("stale")
  document.documentElement.dataset.settled = "no"
  if (asking) { again = true; return }
  asking = true
  do {
    again = false
    await new Promise(requestAnimationFrame)
    const asked = version
    try {
      const answer = await (await post("/api/verdict", { bench, ...request() })).json()
      complain(null)
      show(answer, asked === version)
    } catch (error) {
      complain(error)
    }
  } while (again)
  asking = false
}

function show(v, current) {
  verdict = v
  const focus = document.activeElement
  if (current) {
    now = numbers(v.placement)
    if (stage.fits(now)) { stage.put(now); frontFollows(); sideFollows() }
    redrawSoon()
    const q = new URLSearchParams(v.exact)
    history.replaceState(null, "", `?${q}`)
    for (const [k, value] of Object.entries(v.exact)) {
      const hidden = $("print").elements[k]
      if (hidden) hidden.value = value
    }
    $("print").elements.bench.value = bench
  }
  for (const k of fieldNames) if ($(k) !== focus || $(k).readOnly) $(k).value = v.shown[k]
  for (const r of $("place").elements.face) r.checked = r.value === v.shown.face
  page.classList.toggle("fits", v.ok)
  page.classList.toggle("fails", !v.ok)
  showStamp(v)
  showChecks(v, spotted, pick)
  spot()
  showScore(v.score)
  if (current) search.mark(v)
}

/** Shows what is wrong with a field, or clears all of it. */
function complain(error) {
  for (const k of [...fieldNames, "face"]) {
    const mine = error?.field === k
    const text = $(`${k}-wrong`)
    text.textContent = mine ? error.message : ""
    $(k)?.setAttribute("aria-invalid", String(mine))
  }
  const loose = error && ![...fieldNames, "face"].includes(error.field)
  if (loose) kept(error.message, true)
  else if ($("kept").classList.contains("bad")) kept("")
}

function kept(message, bad) {
  $("kept").textContent = message
  $("kept").classList.toggle("bad", !!bad)
}

// --- the drawings ------------------------------------------------------------

const stage = new Stage($("stage"), state.body, { move, key, size: scaleBar })
let sideDrawn = now
const rise = 2 // the slab is thin: its side view shows heights this much larger

function redrawSoon() {
  clearTimeout(redraw)
  redraw = setTimeout(async () => {
    if (stage.dragging) return redrawSoon()
    const q = new URLSearchParams({ ...verdict.exact, bench })
    const asked = version
    const read = async (path, side) => {
      const answer = await fetch(`${path}?${q}${side ? `&side=${side}` : ""}`)
      if (!answer.ok) return null
      return new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement
    }
    const p = numbers(verdict.placement)
    try {
      if ($("words").checked) q.set("words", "yes")
      const [plan, side] = await Promise.all([read("/drawing.svg"), read("/side.svg")])
      if (asked !== version || stage.dragging || !plan || !side) return
      stage.take(document.importNode(plan, true), p)
      $("below").hidden = p.face !== "bottom"
      takeSide(document.importNode(side, true), p)
      spot()
      frontFollows()
      document.documentElement.dataset.settled = "yes"
      say(`${$("word").textContent}. ${$("why").textContent}`)
      const weights = await fetch(`/weight?${q}`)
      if (weights.ok && asked === version) showWeights(await weights.json())
      const [lie, top, bottom] = await Promise.all([fetch(`/lie?${q}`), read("/planing.svg", "top"), read("/planing.svg", "bottom")])
      if (lie.ok && asked === version) showLie(await lie.json(), top, bottom)
    } catch { /* the verdict's own question tells that the server is gone */ }
  }, 160)
}

/** Takes over a side view that shows the placement p, and draws it higher. */
function takeSide(svg, p) {
  const [, , w, h] = svg.getAttribute("viewBox").split(" ").map(Number)
  svg.setAttribute("preserveAspectRatio", "none")
  svg.style.aspectRatio = `${w} / ${rise * h}`
  $("rise").textContent = "twice as large as lengths"
  $("side").replaceChildren(svg)
  sideDrawn = p
}

/** Shifts the body in the side view until the true drawing comes. */
function sideFollows() {
  const dx = now.x - sideDrawn.x, dz = now.height - sideDrawn.height
  for (const g of $("side").querySelectorAll('[data-layer="BODY"]')) g.setAttribute("transform", `translate(${dx} ${-dz})`)
}

const front = $("front")
const frontTurn = make("g", {}, make("use", { href: "#look" }), make("g"))
const frontTool = make("g", {}, make("use", { href: "#tool" }))

function frontView() {
  const b = state.body
  const left = b.nut_u_mm - 14, right = b.to_u_mm + 14
  const top = -b.middle_v_mm - b.half_v_mm - 10
  front.setAttribute("viewBox", [left, top, right - left, 2 * b.half_v_mm + 20].join(" "))
  front.append(
    make("clipPath", { id: "front-clip" }, make("path", { d: b.path })),
    make("g", { "clip-path": "url(#front-clip)" }, frontTurn),
    make("path", { class: "edge", d: b.path }), frontTool)
}

function frontFollows() {
  const m = matrix(inverse(toDrawing(now)))
  frontTurn.setAttribute("transform", m)
  frontTool.setAttribute("transform", m)
}

/** The front of a placement as a small picture. */
function thumb(p) {
  const b = state.body
  const id = `thumb-${thumb.n = (thumb.n ?? 0) + 1}`
  const q = numbers(p)
  const svg = make("svg", { viewBox: [b.from_u_mm - 4, -b.middle_v_mm - b.half_v_mm - 4, b.to_u_mm - b.from_u_mm + 8, 2 * b.half_v_mm + 8].join(" "), class: "frontview", "aria-hidden": "true" })
  const g = make("g", { transform: matrix(inverse(toDrawing(q))) })
  // The wood on the page is drawn for one face; the other is its mirror.
  const flip = q.face === stage.face ? "scale(1 1)" : "scale(1 -1)"
  g.append(make("use", { href: "#look", transform: flip }))
  svg.append(make("clipPath", { id }, make("path", { d: b.path })), make("g", { "clip-path": `url(#${id})` }, g), make("path", { class: "edge", d: b.path }))
  return svg
}

// --- checks on the drawing -----------------------------------------------------

/** Marks the place of a check on the drawing, or clears it when it is marked. */
function pick(check) {
  spotted = check.name === spotted ? "" : check.name
  if (spotted) say(`${check.name}: ${check.message}`)
  spot()
  if (spotted && check.at_mm && stage.zoom > 1) stage.reveal()
  return spotted
}

/** Puts the mark where the picked check is tightest now. */
function spot() {
  const c = verdict?.checks.find(c => c.name === spotted && c.at_mm)
  stage.spot(c ? { ok: c.ok, at_mm: c.at_mm, words: `${c.margin} of ${c.need}` } : null)
}

/** A bar of a round length under the drawing. */
function scaleBar(pixels) {
  const inch = state.unit === "in"
  const unit = inch ? 25.4 : 1
  const round = inch ? [0.5, 1, 2, 4, 8, 16] : [10, 20, 50, 100, 200, 500]
  page.classList.toggle("far", pixels < 1.500)
  const long = round.findLast(v => v * unit * pixels <= 150) ?? round[0]
  $("scale").firstElementChild.style.width = `${long * unit * pixels}px`
  $("scale").lastElementChild.textContent = `${long} ${state.unit}`
}

// --- keys ------------------------------------------------------------------------

function key(e) {
  const [plainStep, long, short] = state.steps_mm
  const step = e.shiftKey ? long : e.altKey ? short : plainStep
  const turn = e.shiftKey ? 5 : e.altKey ? 0.05 : 0.5
  const s = now.face === "bottom" ? -1 : 1
  const upended = stage.upended()
  let p = null
  const shift = (dx, dy) => ({ ...now, x: now.x + dx, y: now.y + dy })
  // Keys move as the eye sees it: up the screen, whichever way the slab lies.
  const ways = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }
  if (ways[e.key]) {
    let [r, u] = ways[e.key]
    if (upended) [r, u] = [-u, r]
    p = shift(step * r, step * s * u)
  } else if (["[", "]", "{", "}"].includes(e.key) || (e.altKey && ["BracketLeft", "BracketRight"].includes(e.code))) {
    const left = e.code === "BracketLeft" || e.key === "[" || e.key === "{"
    p = turned(now, (left ? 1 : -1) * s * turn, (state.body.from_u_mm + state.body.to_u_mm) / 2, state.body.middle_v_mm)
  }
  if (!p) return
  e.preventDefault()
  move(p, true)
}

// --- fields ------------------------------------------------------------------------

function tilts() {
  const free = !auto()
  $("height").readOnly = !free
  for (const e of document.querySelectorAll(".tilt")) e.hidden = !free
}

let typing = 0
for (const k of fieldNames) {
  $(k).addEventListener("input", () => {
    clearTimeout(typing)
    typing = setTimeout(() => typed(k), 250)
  })
  $(k).addEventListener("change", () => { clearTimeout(typing); typed(k) })
  $(k).addEventListener("blur", () => { if (verdict && $(k).getAttribute("aria-invalid") !== "true") $(k).value = verdict.shown[k] })
}

function typed(k) {
  if ($(k).value === verdict?.shown[k] && $(k).getAttribute("aria-invalid") !== "true") return
  words = { ...words, [k]: $(k).value }
  if ($(k).value.trim() === "" && k !== "x" && k !== "y" && k !== "height") words[k] = "0"
  ask()
}

for (const r of $("place").elements.face) {
  r.addEventListener("change", () => { words = { ...words, face: r.value }; ask() })
}
$("auto").addEventListener("change", () => {
  tilts()
  if (verdict) words = { ...verdict.exact }
  ask()
})
$("place").addEventListener("submit", e => e.preventDefault())

$("back").addEventListener("click", () => {
  const w = state.saved ?? state.verdict.exact
  words = { ...w }
  ask()
})

$("lay").addEventListener("click", () => go(JSON.parse($("lay").dataset.exact), JSON.parse($("lay").dataset.placement)))

$("save").addEventListener("click", async () => {
  kept("")
  try {
    const answer = await (await post("/api/save", { bench, ...verdict.exact })).json()
    bench = answer.bench
    state.saved = answer.verdict.exact
    words = answer.verdict.exact
    show(answer.verdict, true)
    kept(answer.message)
  } catch (error) {
    kept(error.message, true)
  }
})

// --- layers and size ---------------------------------------------------------------

for (const box of document.querySelectorAll("[data-shows]")) {
  const apply = () => {
    for (const layer of box.dataset.shows.split(" ")) page.classList.toggle(`without-${layer}`, !box.checked)
  }
  box.addEventListener("change", () => { apply(); if (box.id === "words") { stage.refit = true; redrawSoon() } })
  apply()
}
if (matchMedia("(max-width: 700px)").matches) $("layers").open = false
$("larger").addEventListener("click", () => stage.scale(1.500, stage.interest()))
$("smaller").addEventListener("click", () => stage.scale(1 / 1.500, stage.interest()))
$("whole").addEventListener("click", () => stage.reset())

// --- paper ----------------------------------------------------------------------------

$("print").addEventListener("submit", async e => {
  e.preventDefault()
  const form = e.target
  const done = (message, bad) => { $("printed").textContent = message; $("printed").classList.toggle("bad", !!bad) }
  $("paper-wrong").textContent = ""
  $("paper").setAttribute("aria-invalid", "false")
  done("drawing the sheets …")
  try {
    const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)) })
    if (!answer.ok) throw new Refused((await answer.json()).error)
    const name = decodeURIComponent(/filename\*=UTF-8''([^;]+)/.exec(answer.headers.get("Content-Disposition"))?.[1] ?? "overlay")
    const link = document.createElement("a")
    link.href = URL.createObjectURL(await answer.blob())
    link.download = name
    link.click()
    setTimeout(() => URL.revokeObjectURL(link.href), 60000)
    done(`${name} is in your downloads`)
  } catch (error) {
    if (error.field === "paper") {
      $("paper-wrong").textContent = error.message
      $("paper").setAttribute("aria-invalid", "true")
      done("")
    } else done(error.message, true)
  }
})

// --- begin ------------------------------------------------------------------------------

const search = new Search({
  bench: () => bench, post, thumb, say, go,
  follow(p) { // the best so far, while it searches
    now = numbers(p)
    if (stage.fits(now)) { stage.put(now); frontFollows(); sideFollows() }
  },
  settle: () => { words = verdict.exact; ask() },
})
// A placement that is tilted or lifted is shown as it is.
$("auto").checked = state.settled
tilts()
frontView()
stage.take($("stage").querySelector("svg"), now)
$("below").hidden = now.face !== "bottom"
takeSide($("side").querySelector("svg"), now)
frontFollows()
show(state.verdict, true)
document.documentElement.dataset.ready = "yes"
