package plan

// RepairsWalked is the expected minutes of the base plan by walking through all
// engines, where RepairsAlone asks the belief.
func (p *Problem) RepairsWalked() (float64, error) {
	ws, err := p.newWorlds(false)
	if err != nil {
		return 0, err
	}
	return ws.base(ws.start()).value, nil
}
