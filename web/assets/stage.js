// The drawing on the page: the server's own drawing of the placement, with the
// instrument's layers in a group that moves while the maker drags.

import { after, at, folded, inverse, matrix, sign, toDrawing, turned } from "./frame.js"

const NS = "http://www.w3.org/2000/svg"

export function make(name, attributes = {}, ...children) {
  const e = document.createElementNS(NS, name)
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v)
  e.append(...children)
  return e
}

const look = ["STRIP", "GLUE-LINE"] // the wood as it shows on the front
const wood = ["SLAB", "CHAMBER", "FLAW", "FASTENER"]
const tool = ["BODY", "CAVITY", "HOLE", "FRET", "STRING", "CENTRELINE"]

const narrow = matchMedia("(max-width: 700px)")
const coarse = matchMedia("(pointer: coarse)")

export class Stage {
  /**
   * @param host element that holds the drawing
   * @param body the body's outline and size in its own frame
   * @param on {move(placement, done), key(event), size(pixels a mm)}: told of what the maker does
   */
  constructor(host, body, on) {
    Object.assign(this, { host, body, on, zoom: 1, pointers: new Map() })
    narrow.addEventListener("change", () => this.show())
    new ResizeObserver(() => this.size()).observe(host)
    host.addEventListener("pointerdown", e => this.down(e))
    host.addEventListener("pointermove", e => this.drag(e))
    for (const end of ["pointerup", "pointercancel"]) host.addEventListener(end, e => this.up(e))
    // What touch-action says of a path is not heeded everywhere: a finger on
    // the body must not scroll the page, nor two fingers zoom it.
    host.addEventListener("touchstart", e => {
      if (e.touches.length > 1 || e.target === this.grip || this.handle?.contains(e.target)) e.preventDefault()
    }, { passive: false })
    host.addEventListener("wheel", e => {
      if (!e.ctrlKey && !e.metaKey) return // a plain wheel scrolls the page
      e.preventDefault()
      this.scale(Math.exp(-e.deltaY / 300), this.point(e))
    }, { passive: false })
  }

  /** Takes over a drawing that shows the placement p. */
  take(svg, p) {
    this.drawn = p
    this.from = [p.face, p.pitch, p.roll].join()
    const box = svg.getAttribute("viewBox").split(" ").map(Number)
    const layers = names => names.map(n => svg.querySelector(`[data-layer="${n}"]`)).filter(Boolean)
    const [strips] = layers(["STRIP"]), [edge] = layers(["SLAB"])
    const outline = edge?.querySelector("path[d]")?.getAttribute("d") ?? ""

    const quiet = { "aria-hidden": "true" } // the verdict says in words what matters
    const seen = make("g", { id: "look", ...quiet }, ...layers(["STRIP"]), make("path", { class: "grain", d: outline, fill: "url(#grain)" }), ...layers(["GLUE-LINE"]))
    this.clip = make("path", { d: this.body.path })
    const axes = svg.querySelector('[data-layer="CENTRELINE"]')
    const still = make("g", { "data-layer": "CENTRELINE" }) // the slab's own line does not move with the body
    for (const e of axes ? [...axes.children] : []) if (e.dataset.id !== "centreline") still.append(e)
    this.tool = make("g", { id: "tool", ...quiet }, ...layers(tool))
    this.state = make("path", { class: "state", d: this.body.path })
    this.grip = make("path", {
      id: "grip", d: this.body.path, tabindex: 0, role: "application", "aria-roledescription": "body on the slab",
      "aria-label": "Body. Arrow keys move it, square brackets turn it.", "aria-describedby": "hint",
    })
    this.grip.addEventListener("keydown", e => this.on.key(e))
    this.picked = make("path", { class: "picked", d: this.body.path })
    this.handle = make("g", { class: "handle", "aria-hidden": "true" },
      make("path", { class: "stem", d: "M-34 0H-13" }), make("circle", { r: 13 }),
      make("path", { d: "M-5 -5.500a7 7 0 1 1 -1.500 8.500M-5.800 -9.500v4.600h4.600" }))
    this.mark = make("g", { class: "spot" })
    this.turn = make("g", {}, seen, make("path", { class: "scrim", d: outline }),
      make("use", { href: "#look", "clip-path": "url(#in-body)" }),
      make("g", quiet, ...layers(wood), still), this.tool, this.state, make("g", quiet, ...layers(["NOTE"])),
      this.grip, this.picked, this.handle, this.mark)
    this.svg = make("svg", { class: "drawing", role: "group", "aria-label": "Slab with the body on it, to scale" },
      make("defs", {}, make("clipPath", { id: "in-body" }, this.clip), grain()), this.turn)
    if (svg.hasAttribute("font-family")) this.svg.setAttribute("font-family", svg.getAttribute("font-family"))

    const focused = this.host.contains(document.activeElement)
    this.host.classList.remove("stale")
    this.host.replaceChildren(this.svg)
    if (focused) this.grip.focus({ preventScroll: true })

    // The picture never shrinks by itself, so that nothing jumps on a drop.
    if (!this.home || this.refit || this.face !== p.face) this.home = box
    else this.home = union(this.home, box)
    this.refit = false // set to have the next drawing fitted anew
    this.face = p.face
    this.put(p)
    this.show()
  }

  /** Whether a drawing made for another placement can be moved to p. */
  fits(p) { return this.from === [p.face, p.pitch, p.roll].join() }

  /** Moves the instrument to p. */
  put(p) {
    this.now = p
    const m = toDrawing(p)
    this.tool.setAttribute("transform", matrix(after(m, inverse(toDrawing(this.drawn)))))
    for (const e of [this.clip, this.state, this.grip, this.picked]) e.setAttribute("transform", matrix(m))
    const moved = Math.hypot(p.x - this.drawn.x, p.y - this.drawn.y) > 1e-6 || Math.abs(folded(p.angle - this.drawn.angle)) > 1e-9
    this.host.classList.toggle("stale", moved)
    this.place()
  }

  /** Marks a place of the slab, or none. */
  spot(spot) {
    this.spotted = spot
    this.mark.replaceChildren()
    if (!spot) return
    this.mark.setAttribute("class", spot.ok ? "spot" : "spot bad")
    this.mark.append(make("circle", { class: "halo", r: 11 }), make("circle", { class: "ring", r: 11 }), make("circle", { class: "dot", r: 2.500 }))
    const words = make("text", { x: 17, y: 5, "font-size": 14 })
    words.textContent = spot.words
    this.mark.append(words)
    this.place()
  }

  /** Puts what keeps its size on the screen where it belongs. */
  place() {
    const k = 1 / this.pixels()
    const m = toDrawing(this.now)
    const size = coarse.matches ? 1.300 : 1
    this.handle.setAttribute("transform", `${matrix(m)} translate(${this.body.to_u_mm + 34 * size * k} ${-this.body.middle_v_mm}) scale(${size * k})`)
    if (this.spotted) {
      const [x, y] = this.spotted.at_mm
      const upright = this.upended() ? " rotate(-90)" : ""
      this.mark.setAttribute("transform", `translate(${x} ${sign(this.now.face) * y}) scale(${k})${upright}`)
    }
  }

  upended() { return narrow.matches }

  /** Sets the part of the drawing that is shown. */
  show() {
    if (!this.svg) return
    let [x, y, w, h] = this.home
    const tail = 46 / 0.600 // the handle may stand out this far
    x -= 20; y -= 20; w += 40 + tail * 0.500; h += 40
    if (this.upended()) [x, y, w, h] = [-(y + h), x, h, w]
    this.turn.setAttribute("transform", this.upended() ? "rotate(90)" : "rotate(0)")
    this.whole = [x, y, w, h]
    this.zoom = Math.min(Math.max(this.zoom, 1), 40)
    const vw = w / this.zoom, vh = h / this.zoom
    this.centre ??= [x + w / 2, y + h / 2]
    if (this.zoom === 1) this.centre = [x + w / 2, y + h / 2]
    const cx = Math.min(Math.max(this.centre[0], x + vw / 2), x + w - vw / 2)
    const cy = Math.min(Math.max(this.centre[1], y + vh / 2), y + h - vh / 2)
    this.centre = [cx, cy]
    this.svg.setAttribute("viewBox", [cx - vw / 2, cy - vh / 2, vw, vh].join(" "))
    this.svg.style.aspectRatio = `${w} / ${h}`
    this.host.classList.toggle("near", this.zoom > 1)
    this.size()
  }

  size() {
    if (!this.svg) return
    this.place()
    this.on.size(this.pixels())
  }

  reset() { this.zoom = 1; this.show() }

  /** Zooms by k, keeping the drawing's point still. */
  scale(k, point) {
    const next = Math.min(Math.max(this.zoom * k, 1), 40)
    const r = 1 - this.zoom / next
    if (point) {
      const [px, py] = this.upended() ? [-point[1], point[0]] : point
      this.centre = [this.centre[0] + (px - this.centre[0]) * r, this.centre[1] + (py - this.centre[1]) * r]
    }
    this.zoom = next
    this.show()
  }

  /** Where the maker looks: the marked place, else the middle of the body. */
  interest() {
    if (this.spotted) return [this.spotted.at_mm[0], sign(this.now.face) * this.spotted.at_mm[1]]
    return at(toDrawing(this.now), (this.body.from_u_mm + this.body.to_u_mm) / 2, -this.body.middle_v_mm)
  }

  /** Brings the marked place into the part that is shown. */
  reveal() {
    const [x, y] = this.interest()
    this.centre = this.upended() ? [-y, x] : [x, y]
    this.show()
  }

  /** Pixels a millimetre. */
  pixels() {
    const m = this.turn?.getScreenCTM()
    return (m && Math.hypot(m.a, m.b)) || 1
  }

  /** The place in the drawing under a pointer. */
  point(e) {
    const q = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.turn.getScreenCTM().inverse())
    return [q.x, q.y]
  }

  down(e) {
    if (!this.svg || (e.pointerType === "mouse" && e.button !== 0)) return
    this.pointers.set(e.pointerId, e)
    if (this.pointers.size === 2) { this.held = null; this.host.classList.remove("dragging"); return }
    const turning = this.handle.contains(e.target)
    if (turning || e.target === this.grip) {
      e.preventDefault()
      this.grip.focus({ preventScroll: true })
      const middle = at(toDrawing(this.now), (this.body.from_u_mm + this.body.to_u_mm) / 2, -this.body.middle_v_mm)
      this.held = { turning, from: this.now, start: this.point(e), middle }
      this.host.classList.add("dragging")
      this.host.setPointerCapture(e.pointerId)
    } else if (this.zoom > 1) {
      this.held = { panning: true, x: e.clientX, y: e.clientY, centre: this.centre }
      this.host.setPointerCapture(e.pointerId)
    }
  }

  drag(e) {
    const before = this.pointers.get(e.pointerId)
    if (!before) return
    if (this.pointers.size === 2) {
      const other = [...this.pointers.entries()].find(([id]) => id !== e.pointerId)[1]
      const was = Math.hypot(before.clientX - other.clientX, before.clientY - other.clientY)
      const is = Math.hypot(e.clientX - other.clientX, e.clientY - other.clientY)
      this.pointers.set(e.pointerId, e)
      if (was > 0) this.scale(is / was, this.point({ clientX: (e.clientX + other.clientX) / 2, clientY: (e.clientY + other.clientY) / 2 }))
      return
    }
    this.pointers.set(e.pointerId, e)
    const h = this.held
    if (!h) return
    if (h.panning) {
      const k = 1 / this.pixels()
      this.centre = [h.centre[0] - (e.clientX - h.x) * k, h.centre[1] - (e.clientY - h.y) * k]
      this.show()
      return
    }
    const [x, y] = this.point(e)
    const p = h.from, s = sign(p.face)
    if (h.turning) {
      const angle = q => (Math.atan2(q[1] - h.middle[1], q[0] - h.middle[0]) * 180) / Math.PI
      const da = s * (angle([x, y]) - angle(h.start))
      this.on.move(turned(p, da, (this.body.from_u_mm + this.body.to_u_mm) / 2, this.body.middle_v_mm), false)
    } else {
      this.on.move({ ...p, x: p.x + x - h.start[0], y: p.y + s * (y - h.start[1]) }, false)
    }
    h.moved = true
  }

  up(e) {
    if (!this.pointers.delete(e.pointerId)) return
    const h = this.held
    this.held = null
    this.host.classList.remove("dragging")
    if (h?.moved) this.on.move(this.now, true)
  }

  get dragging() { return !!this.held && !this.held.panning }
}

function union(a, b) {
  const x = Math.min(a[0], b[0]), y = Math.min(a[1], b[1])
  return [x, y, Math.max(a[0] + a[2], b[0] + b[2]) - x, Math.max(a[1] + a[3], b[1] + b[3]) - y]
}

/** A quiet grain over the flat colours of the woods, on the screen alone. */
function grain() {
  const g = make("pattern", { id: "grain", patternUnits: "userSpaceOnUse", width: 420, height: 26 })
  const waves = [[2, .9, .10], [5.200, -1.300, .06], [8.100, .7, .12], [11.400, 1.600, .05], [14.200, -.8, .10], [17.600, 1.100, .07], [20.300, -1.500, .11], [23.700, .6, .06]]
  for (const [y, bend, opacity] of waves) {
    g.append(make("path", {
      d: `M0 ${y}C70 ${y + bend} 140 ${y + bend} 210 ${y}S350 ${y - bend} 420 ${y}`,
      fill: "none", stroke: "#2a1608", "stroke-opacity": opacity, "stroke-width": ".9",
    }))
  }
  return g
}
