package measure

import (
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestReword(t *testing.T) {
	err := Errorf("%s: width %v is more than %v", "6 mm batten", Length(635), Length(508))
	assert.EqualError(t, err, "6 mm batten: width 635 mm is more than 508 mm")
	assert.Equal(t, "6 mm batten: width 25 in is more than 20 in", Reword(err, Inches), "names keep their words")
	wrapped := fmt.Errorf("plan: %w (rule 7)", err)
	assert.Equal(t, "plan: 6 mm batten: width 25 in is more than 20 in (rule 7)", Reword(wrapped, Inches))
	assert.ErrorIs(t, wrapped, err)
	assert.Equal(t, "plain", Reword(errors.New("plain"), Inches))
}
