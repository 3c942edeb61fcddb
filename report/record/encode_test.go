package record_test

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"earframe/report/record"
)

func TestNumbersAreStoredToStatedDigits(t *testing.T) {
	for written, v := range map[string]float64{
		"0": 0, "3": 3, "-2.5": -2.5, "1234567.891235": 1234567.8912346, "0.333333": 1.0 / 3,
		"-0.001235": -0.0012345678, "0.0001235": 0.000123456, "1.235e-7": 1.23456e-7, "2": 1.99999999, "1e+21": 1e21,
	} {
		data, err := record.Encode(map[string]float64{"v": v})
		require.NoError(t, err)
		assert.Equal(t, "{\n  \"v\": "+written+"\n}\n", string(data))
	}
}

func TestTextsAreStoredAsTheyAre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		held := map[string]string{
			rapid.String().Draw(t, "key"): rapid.String().Draw(t, "text"), "length": `1.23456789 "mm" <\`,
		}
		data, err := record.Encode(held)
		require.NoError(t, err)
		var read map[string]string
		require.NoError(t, json.Unmarshal(data, &read))
		assert.Equal(t, held, read)
	})
}

func TestARoundedNumberIsNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Draw(t, "v")
		data, err := record.Encode(v)
		require.NoError(t, err)
		read, err := strconv.ParseFloat(string(data[:len(data)-1]), 64)
		require.NoError(t, err)
		assert.InDelta(t, v, read, 0.5e-6+1e-15*math.Abs(v), "the rounding, and that of the float itself")
		if math.Abs(v) < 1e-3 {
			assert.InDelta(t, v, read, 0.5e-3*math.Abs(v)+math.SmallestNonzeroFloat64)
		}
	})
}

func TestWhatIsNoNumberIsNotStored(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		_, err := record.Encode(&record.Build{Framework: record.Solid{Volume: v}})
		assert.ErrorContains(t, err, "cannot be stored")
	}
}
