// The search: begins it, shows how far it is, and offers what it found.

const $ = id => document.getElementById(id)
const points = v => (v === null || v === undefined ? "–" : (Math.round(v * 100) / 100 || 0).toFixed(2)) // no minus zero

export class Search {
  /** @param ask {bench, post, thumb, say, go, follow, settle} what the page lends */
  constructor(ask) {
    this.ask = ask
    $("search").addEventListener("submit", e => { e.preventDefault(); this.run() })
    $("stop").addEventListener("click", () => this.stop())
  }

  async stop() {
    $("stop").disabled = true
    try { await this.ask.post("/api/stop", {}) } catch (error) { this.end(error.message, true) }
  }

  async run() {
    this.track = []
    this.shown = []
    this.following = true
    $("seconds-wrong").textContent = ""
    $("seconds").setAttribute("aria-invalid", "false")
    $("others").replaceChildren()
    this.end("")
    $("flat").textContent = ""
    this.running(true)
    let result = null
    try {
      const answer = await this.ask.post("/api/search", { bench: this.ask.bench(), seconds: $("seconds").value.trim(), prefer: $("search").elements.prefer.value })
      for await (const [name, data] of events(answer.body)) {
        if (name === "progress") this.progress(data)
        if (name === "error") throw new Error(data.message)
        if (name === "result") result = data
      }
      if (!result) throw new Error("the search broke off; is slabwright still running in its terminal?")
    } catch (error) {
      if (error.field === "seconds") {
        $("seconds-wrong").textContent = error.message
        $("seconds").setAttribute("aria-invalid", "true")
        $("progress").hidden = true
      } else this.end(error.message, true)
      this.running(false)
      this.ask.settle()
      return
    }
    this.running(false)
    this.result(result)
  }

  running(on) {
    $("find").hidden = on
    $("stop").hidden = !on
    $("stop").disabled = false
    if (on) { $("progress").hidden = false; this.figures({}) ; $("looked").textContent = "getting ready …" }
    const from = on ? $("find") : $("stop")
    if (document.activeElement === from || document.activeElement === document.body) (on ? $("stop") : $("find")).focus({ preventScroll: true })
  }

  figures(p) {
    const room = $("search").elements.prefer.value === "room"
    $("best-is").textContent = room ? "most room" : "best score"
    $("best").textContent = room ? (p.room?.leeway ?? "–") : points(p.score)
    $("bound").textContent = room ? (p.room?.most ?? "–") : points(p.bound)
    $("gap").textContent = room ? (p.room?.gap ?? "–") : points(p.gap)
  }

  progress(p) {
    this.figures(p)
    $("looked").textContent = p.doing ? `${p.doing} …` : `${p.evaluated.toLocaleString("en")} looked at in ${(p.elapsed_ms / 1000).toFixed(1)} s`
    this.track.push(p)
    this.draw()
    if (p.placement && this.following) this.ask.follow(p.placement)
  }

  /** Draws how score, or leeway, and bound close in on each other. */
  draw() {
    const t = this.track.map(p => (p.room ? { elapsed_ms: p.elapsed_ms, score: p.room.leeway_mm, bound: p.room.most_mm } : p))
    const top = Math.max(...t.map(p => p.score ?? 0), ...t.map(p => p.bound ?? 0), 0.1) * 1.080
    const end = Math.max(t.at(-1).elapsed_ms, 1)
    const line = of => {
      let d = "", last = null
      for (const p of t) {
        const v = p[of]
        if (v === null || v === undefined) continue
        const x = (320 * p.elapsed_ms) / end, y = 60 - (56 * Math.max(0, v)) / top
        d += last === null ? `M${x.toFixed(1)} ${y.toFixed(1)}` : `H${x.toFixed(1)}V${y.toFixed(1)}`
        last = v
      }
      return d
    }
    $("line-best").setAttribute("d", line("score"))
    $("line-bound").setAttribute("d", line("bound"))
  }

  end(words, bad) {
    $("outcome").textContent = words
    $("outcome").classList.toggle("bad", !!bad)
  }

  result(r) {
    this.progress(r)
    if (!r.placement) return this.nothing(r)
    const [early, time] = this.ending(r)
    $("flat").textContent = r.flat
    if (r.room) this.end(early
      ? `${early} after ${time}. A placement may exist that leaves the saw ${r.room.gap} more, at most.`
      : `Proven in ${time}: no allowed placement lets the saw wander farther by more than ${r.room.gap}.`)
    else this.end(early
      ? `${early} after ${time}. A better placement may exist, by ${points(r.gap)} points at most.`
      : r.gap !== null && r.gap < 0.005
        ? `Proven: no allowed placement scores lower. It took ${time}.`
        : `Done in ${time}. No allowed placement scores lower by more than ${points(r.gap)} points.`)
    this.shown = [{ exact: r.exact, shown: r.shown, placement: r.placement, score: r.score }, ...r.alternatives]
    this.offer(this.shown.map((a, i) => ({ ...a, words: `${i === 0 ? "best" : `no. ${i + 1}`}: ${points(a.score)}`, picture: true })))
    if (this.following) this.ask.go(r.exact, r.placement)
    this.following = false
  }

  /** The maker has taken the body in hand: it no longer shows the best so far. */
  letGo() { this.following = false }

  /** Why a search ended before its end, if it did, and when. */
  ending(r) {
    return [{ time: "Its time was over", hand: "You stopped it" }[r.stopped], `${(r.elapsed_ms / 1000).toFixed(1)} s`]
  }

  nothing(r) {
    const n = r.infeasible
    const [early, time] = this.ending(r)
    if (!n) {
      this.end(`Nothing allowed was found${r.stopped ? " before it stopped" : ""}; that proves nothing yet. Give it more time.`, true)
      this.ask.settle()
      return
    }
    $("progress").hidden = true // there is no score to show
    this.end(n.proved
      ? `Nothing fits: it is proven that no placement in this slab passes every check${n.within_mm > 0 ? `, not even with every need smaller by ${n.within}` : ""}.`
      : `${early ? `${early} after ${time}. ` : ""}Nothing that fits was found, but that is not proven.`, true)
    const say = words => this.end(`${$("outcome").textContent} ${words}`, true)
    if (n.body.length) say(`Wherever the body lies, this fails of the body itself: ${n.body.join("; ")}.`)
    if (n.useless.length) say(`Proven not to do alone, however far it gave: ${n.useless.join("; ")}.`)
    if (n.undecided.length) say(`Not decided: ${n.undecided.join("; ")}.`)
    if (!n.complete) say("It ended before every limit was asked; others may do as well.")
    if (n.relaxations.length) say("Any one of these would let it fit:")
    this.shown = n.relaxations
    this.offer(n.relaxations.map(x => ({ ...x, words: x.by ? `${x.limit}: ${x.by}` : x.limit })), true)
    this.ask.settle()
  }

  offer(list, wide) {
    $("others").classList.toggle("wide", !!wide)
    $("others").replaceChildren(...list.map(a => {
      const b = document.createElement("button")
      b.type = "button"
      b.setAttribute("aria-pressed", "false")
      if (a.picture) b.append(this.ask.thumb(a.placement))
      b.append(a.words)
      if (a.shown) {
        const where = document.createElement("small")
        where.textContent = `x ${a.shown.x}, y ${a.shown.y}, ${a.shown.angle}°${a.shown.face === "bottom" ? ", bottom" : ""}`
        b.append(where)
      }
      b.addEventListener("click", () => this.ask.go(a.exact, a.placement))
      const li = document.createElement("li")
      li.append(b)
      return li
    }))
  }

  /** Presses the button of the placement that is shown. */
  mark(v) {
    const p = v.placement
    $("others").querySelectorAll("button").forEach((b, i) => {
      const q = this.shown?.[i]?.placement
      const same = q && q.face === p.face && Math.hypot(q.x_mm - p.x_mm, q.y_mm - p.y_mm) < 0.01 && Math.abs(q.angle_deg - p.angle_deg) < 0.005
      b.setAttribute("aria-pressed", String(!!same))
    })
  }
}

/** Reads server-sent events from the body of an answer. */
async function* events(body) {
  const reader = body.pipeThrough(new TextDecoderStream()).getReader()
  let text = ""
  for (;;) {
    const { done, value } = await reader.read()
    if (done) return
    text += value
    let end
    while ((end = text.indexOf("\n\n")) >= 0) {
      const lines = text.slice(0, end).split("\n")
      text = text.slice(end + 2)
      const pick = key => lines.filter(l => l.startsWith(key)).map(l => l.slice(key.length)).join("\n")
      yield [pick("event: "), JSON.parse(pick("data: "))]
    }
  }
}
