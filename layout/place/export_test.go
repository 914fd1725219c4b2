package place

func Count(c *Case) []int {
	return []int{len(c.front), len(c.look.seen[0]), len(c.outline), len(c.obstacles), len(c.lines)}
}
