package ui

import (
	"context"
	"encoding/json"
	"os"
	"strconv"
	"testing"
	"tugback/internal/scenario"
	"tugback/internal/store"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

func TestSeedRun(t *testing.T) {
	name, plan, db := os.Getenv("SC"), os.Getenv("PLAN"), os.Getenv("DB")
	if db == "" {
		t.Skip()
	}
	n, _ := strconv.Atoi(os.Getenv("N"))
	sc, err := scenario.LoadFS(scenarios.Files, name+".yaml")
	if err != nil {
		t.Fatal(err)
	}
	raw, _ := scenarios.Files.ReadFile("plans/" + name + "." + plan + ".yaml")
	p, err := scenario.ParsePlan("plan", raw)
	if err != nil {
		t.Fatal(err)
	}
	a := p.Steps
	if n > 0 && n < len(a) {
		a = a[:n]
	}
	k, _ := sc.Case(sc.Seed())
	data, _ := json.Marshal(map[string]any{"format": 1, "engine": treatment.Engine, "scenario": sc.Name(), "digest": k.Digest, "actions": a})
	st, err := store.Open(context.Background(), db)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.SaveCurrent(context.Background(), data); err != nil {
		t.Fatal(err)
	}
	st.Close()
}
