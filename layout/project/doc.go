// Package project answers: what did the maker write, and is it possible?
//
// A project is one TOML file. Read turns it into a Project: the fret layout,
// the neck worked out, the body built, the slab, what a placement needs and
// what is wished, each accepted by its engine. Whatever is wrong is told as
// Problems: file, line, key, what is wrong, what would be right, and the line
// itself with a mark under the spot.
//
// # The file
//
//	name, unit                      at the top
//	[scale]    [strings]            frets and strings across the board
//	[neck]                          joint, board, set-up, blank, headstock, back
//	[body]                          outline, cavities, hardware, limits, masses
//	[slab]                          strips, plan, profile, chambers, flaws
//	[chambers] [need] [wish]        rules, needs and wishes of the placement
//	[placement]                     where the body lies; absent: it is searched
//	[paper]                         what is printed on
//	[shop]                          boards, stack, glue, finish, air, loads
//
// Every key there is stands in Keys with its kind, its meaning, its limits and
// its default. That list is the reader's law and the new file's comments at
// once (Starter), so they cannot disagree; tests hold that each key is read,
// has an effect, and that every field of the engines can be said.
//
// # What is written how
//
//   - A length is a number in the project's unit, wherever in the file unit
//     stands, or a text with its own: 648, "648 mm", "25 1/2 in".
//   - An angle is a number of degrees or "30 deg"; a mass a number of kilograms
//     or "120 g".
//   - A place on the body is [u, v] or [u, v, w] in the body frame, a place in
//     the slab [x, y] or [x, y, z] in the slab frame.
//   - What comes several times is a list of tables, named in the singular:
//     [[slab.strip]], or in braces: piece = [{ wood = "teak" }, ...]. Members
//     are counted from 1, in messages and in references. Strips are counted
//     from the right (lowest y).
//   - A strip is named by its name or its number, a glue line by its name.
//
// Inside a Project lengths are mm, angles radians, masses grams.
//
// # Two passes
//
// First the whole text is held against Keys, and all that is unknown, missing,
// of the wrong kind or out of range is told at once. Only a text without such
// faults is turned into values, and then each engine is asked. What an engine
// refuses is told at the key that its message is about, as near as can be
// found; at worst at its table.
//
// # Writing back
//
// The text stays the truth. Set, SetAll and SetPlacement exchange the bytes of
// values and read the project anew; comments, order and line ends stay, and a
// change that makes the project impossible is not made. Save replaces the file
// whole or not at all, and never one that has been edited meanwhile.
package project
