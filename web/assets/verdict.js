// The verdict and the score in words and small pictures.

import { make } from "./stage.js"

const $ = id => document.getElementById(id)
const shownFew = 6

function element(name, attributes = {}, ...children) {
  const e = document.createElement(name)
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v)
  e.append(...children)
  return e
}

const slack = c => (c.margin_mm === undefined ? Infinity : c.margin_mm - c.need_mm)

export function showStamp(v) {
  const bad = v.checks.filter(c => !c.ok)
  const stamp = $("stamp")
  stamp.classList.toggle("ok", v.ok)
  stamp.classList.toggle("no", !v.ok)
  // What fails of the body itself is no fault of the place where it lies.
  const own = !v.ok && bad.every(c => c.body)
  $("word").textContent = v.ok ? "It fits" : own ? "It fits, but the body fails" : "It does not fit"
  if (v.ok) {
    const [tight] = v.checks.filter(c => !c.body).sort((a, b) => slack(a) - slack(b))
    $("why").textContent = `All ${v.checks.length} checks pass. Tightest: ${tight.name}${tight.margin ? `, ${tight.margin} where ${tight.need} is needed` : ""}.`
  } else {
    const [worst] = [...bad].sort((a, b) => slack(a) - slack(b))
    $("why").textContent = `${bad.length} of ${v.checks.length} checks ${bad.length === 1 ? "fails" : "fail"}${own ? " wherever it lies" : ""}${bad.length === 1 ? ":" : ". Worst:"} ${worst.name}${worst.margin ? `, ${worst.margin} where ${worst.need} is needed` : ""}.`
  }
}

/** Lists the checks. picked is the name of the one marked on the drawing; pick(check) marks one and tells which is. */
export function showChecks(v, picked, pick) {
  const bad = v.checks.filter(c => !c.ok).sort((a, b) => slack(a) - slack(b))
  const good = v.checks.filter(c => c.ok).sort((a, b) => slack(a) - slack(b))
  const here = good.filter(c => !c.body), always = good.filter(c => c.body)
  const few = Math.max(3, shownFew - bad.length)
  fill($("bad"), bad, picked, pick)
  fill($("tight"), here.slice(0, few), picked, pick)
  fold($("rest"), here.slice(few), n => `and ${n} more that pass`, picked, pick)
  fold($("always"), always, n => `${n} of the body itself pass, wherever it lies`, picked, pick)
}

/** Fills a list that is folded away until asked for. */
function fold(details, checks, words, picked, pick) {
  fill(details.querySelector("ul"), checks, picked, pick)
  details.hidden = checks.length === 0
  details.querySelector("summary").textContent = words(checks.length)
}

/** Fills a list anew, keeping the focus on the check that has it. */
function fill(list, checks, picked, pick) {
  const focused = list.contains(document.activeElement) ? document.activeElement.dataset.check : null
  list.replaceChildren(...checks.map(c => {
    const b = element("button", { type: "button", class: c.ok ? "ok" : "no", "aria-pressed": String(picked === c.name), "data-check": c.name },
      element("span", { class: "sign", "aria-label": c.ok ? "passes" : "fails" }, c.ok ? "✓" : "✕"),
      element("span", {}, c.name),
      element("span", { class: "num" }, ...(c.margin ? [c.margin, element("small", {}, ` of ${c.need}`)] : [])))
    if (c.margin !== undefined && c.margin !== "") b.append(gauge(c))
    b.append(element("span", { class: "msg" }, c.message))
    if (!c.at_mm) b.classList.add("wordy")
    b.addEventListener("click", () => {
      const on = pick(c)
      for (const other of document.querySelectorAll("[data-check]")) other.setAttribute("aria-pressed", String(other.dataset.check === on))
    })
    return element("li", {}, b)
  }))
  if (focused) [...list.querySelectorAll("button")].find(b => b.dataset.check === focused)?.focus({ preventScroll: true })
}

/** A bar as long as the margin with a notch at the need. */
function gauge(c) {
  const full = Math.max(3 * c.need_mm, 12)
  const x = mm => Math.max(0, Math.min(100, (100 * mm) / full))
  return make("svg", { class: "gauge", viewBox: "0 0 100 5", preserveAspectRatio: "none", "aria-hidden": "true" },
    make("rect", { class: "bed", width: 100, height: 5 }),
    make("rect", { class: "fill", width: Math.max(x(c.margin_mm), c.ok ? 0 : 1), height: 5 }),
    make("rect", { class: "need", x: Math.max(0, x(c.need_mm) - 0.400), width: 0.800, height: 5 }))
}

export function showScore(score) {
  const shown = v => v?.toFixed(2) ?? "–" // not known where the body lies beyond the slab
  $("total").textContent = shown(score.total)
  const most = Math.max(...score.terms.map(t => t.points ?? 0), 1e-9)
  $("terms").tBodies[0].replaceChildren(...score.terms.map(t => element("tr", { title: t.what },
    element("th", { scope: "row" }, t.name),
    barCell((t.points ?? 0) / most),
    element("td", {}, shown(t.points)))))
}

export function showWeights(w) {
  $("weights").tBodies[0].replaceChildren(...w.lines.map(l => element("tr", {}, element("th", { scope: "row" }, l.name), element("td", {}, l.says))))
  $("balance").textContent = `On a strap: ${w.balance}.`
}

function barCell(share) {
  const cell = element("td", { class: "share" })
  cell.append(make("svg", { viewBox: "0 0 100 7", preserveAspectRatio: "none", "aria-hidden": "true" }, make("rect", { width: 100 * share, height: 7 })))
  return cell
}
