package engine

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestANewCaseIsNamedAfterItsFolder(t *testing.T) {
	for folder, want := range map[string]string{
		"drill-7": "drill-7", "my case": "my case", "Ohr (links)": "Ohr -links-", "öhrchen": "hrchen", "...": "my-case",
	} {
		assert.Equal(t, want, caseName(filepath.Join("some", "where", folder)), folder)
	}
}
