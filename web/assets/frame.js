// The one map from the body to the drawing, as rows of an SVG matrix.
//
// The drawing's x is the slab's; its y is the slab's with the sign turned,
// since y runs down in SVG. The drawing of the bottom face is made as seen
// from below, which turns the sign once more. The body stands in its own
// frame with v turned down. So the map is a turn and a shift on both faces:
//
//   top     (x, −y) = turn by −a, shift (X, −Y)
//   bottom  (x,  y) = turn by +a, shift (X,  Y)

/** Sign of the slab's y in the drawing of a face. */
export const sign = face => (face === "bottom" ? 1 : -1)

/** From body to drawing. @param {{x:number,y:number,angle:number,face:string}} p mm, degrees */
export function toDrawing(p) {
  const s = sign(p.face), a = (s * p.angle * Math.PI) / 180
  return [Math.cos(a), Math.sin(a), -Math.sin(a), Math.cos(a), p.x, s * p.y]
}

/** Inverse of a turn and shift. */
export function inverse([a, b, c, d, e, f]) {
  return [a, c, b, d, -(a * e + b * f), -(c * e + d * f)]
}

/** First n, then m. */
export function after(m, n) {
  return [
    m[0] * n[0] + m[2] * n[1], m[1] * n[0] + m[3] * n[1],
    m[0] * n[2] + m[2] * n[3], m[1] * n[2] + m[3] * n[3],
    m[0] * n[4] + m[2] * n[5] + m[4], m[1] * n[4] + m[3] * n[5] + m[5],
  ]
}

export const at = (m, x, y) => [m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]]
export const matrix = m => `matrix(${m.join(" ")})`

/** Degrees within (−180, 180]. */
export function folded(a) {
  a = a % 360
  if (a > 180) a -= 360
  if (a <= -180) a += 360
  return a
}

/** Turns the placement by da degrees about the body's point (u, v). */
export function turned(p, da, u, v) {
  const s = p.face === "bottom" ? -1 : 1 // v runs to the slab's right then
  const place = a => {
    const r = (a * Math.PI) / 180
    return [u * Math.cos(r) - s * v * Math.sin(r), u * Math.sin(r) + s * v * Math.cos(r)]
  }
  const [x0, y0] = place(p.angle), [x1, y1] = place(p.angle + da)
  return { ...p, x: p.x + x0 - x1, y: p.y + y0 - y1, angle: folded(p.angle + da) }
}
