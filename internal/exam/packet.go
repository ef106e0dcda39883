package exam

import (
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"

	"tugback/internal/attempt"
	"tugback/internal/detmath"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
)

// Packet is what one candidate receives.
type Packet struct {
	Schema     string  `json:"schema"`
	Engine     string  `json:"engine"`
	Paper      string  `json:"paper"` // id
	Title      string  `json:"title"`
	Candidate  string  `json:"candidate"`
	Cases      []Case  `json:"cases"`
	Items      []Shown `json:"items"`
	Terms      Terms   `json:"terms"`
	LimitS     int     `json:"limit_s"` // with the candidate's own extra time; 0 none
	RestS      int     `json:"rest_s"`
	Commitment string  `json:"commitment"`
	Key        string  `json:"key"`        // seed of the key that signs this candidate's exports, hex
	PublicKey  string  `json:"public_key"` // the instructor's
	Signature  string  `json:"signature"`
}

// Shown is a question without its key. Options are named o1, o2 … in the order shown, so that a name
// tells nothing either.
type Shown struct {
	Item   quiz.Item `json:"item"`
	Sides  []string  `json:"sides,omitempty"` // right sides of a matching in the order shown
	Points float64   `json:"points"`
}

// Order returns the question as a quiz screen takes it, in the order shown.
func (s Shown) Order() quiz.Shown {
	out := quiz.Shown{Item: s.Item, Sides: s.Sides}
	for i := range s.Item.Options {
		out.Order = append(out.Order, i)
	}
	return out
}

// Packet returns a candidate's packet, signed by the key that the paper was sealed with. Checked by
// TestPacketKeepsSecrets.
func (p Paper) Packet(candidate string, key ed25519.PrivateKey) (Packet, error) {
	packet, err := p.unsigned(candidate)
	if err != nil {
		return Packet{}, err
	}
	if PublicKey(key) != p.PublicKey {
		return Packet{}, errors.New("this is not the key that the paper was sealed with")
	}
	packet.Signature, err = sign(packet, key)
	return packet, err
}

// unsigned returns a candidate's packet before it is signed.
func (p Paper) unsigned(candidate string) (Packet, error) {
	c := p.candidate(candidate)
	if c == nil {
		return Packet{}, fmt.Errorf("the paper has no candidate %.40q", candidate)
	}
	packet := Packet{Schema: PacketSchema, Engine: p.Engine, Paper: p.ID, Title: p.Title, Candidate: c.ID, Terms: p.Terms,
		Cases: []Case{}, Items: []Shown{}, LimitS: int(math.Ceil(float64(p.Terms.LimitS) * c.TimeFactor)), RestS: c.RestS,
		Commitment: p.Commitment, Key: hex.EncodeToString(p.key(candidate).Seed()), PublicKey: p.PublicKey}
	for _, g := range c.Cases {
		one := p.Cases[g.Case]
		one.Seed = g.Seed
		if !p.Terms.Sees(SeeMarks) {
			one.Rules, one.Pass = nil, 0
		}
		packet.Cases = append(packet.Cases, one)
	}
	for _, id := range c.Items {
		packet.Items = append(packet.Items, p.shown(*p.item(id), candidate))
	}
	return packet, nil
}

// Sees reports whether a candidate may see something of Sights.
func (t Terms) Sees(what string) bool { return slices.Contains(t.See, what) }

// Outside returns the packet as it may be sent to a machine that shall not know the teeth: without the
// cases' text, seed and rules and without the key, unsigned. Nothing can be grown from it; whoever holds
// the whole packet steps the sitting.
func (k Packet) Outside() Packet {
	k.Cases = slices.Clone(k.Cases)
	for i := range k.Cases {
		k.Cases[i].Text, k.Cases[i].Seed, k.Cases[i].Rules = "", "", nil
	}
	k.Key, k.Signature = "", ""
	return k
}

// presented returns an item in the order in which a candidate sees it.
func (p Paper) presented(item quiz.Item, candidate string) quiz.Shown {
	stream := detmath.NewStream(weight(p.secret(), "item", candidate, item.ID, 0), "exam order")
	return quiz.Present(item, &stream)
}

// shown returns an item without what gives its key away. Of a predict item the tooth and what was done
// before stays, for the picture; of a place or reading the tooth.
func (p Paper) shown(item Item, candidate string) Shown {
	from, order := item.Item, p.presented(item.Item, candidate)
	out := Shown{Points: item.Points, Sides: order.Sides, Item: quiz.Item{ID: from.ID, Kind: from.Kind, Step: from.Step,
		Stem: from.Stem, Unit: from.Unit, Subject: from.Subject}}
	if from.Trial != nil {
		before := *from.Trial
		before.Then.Do = ""
		out.Item.Trial = &quiz.Trial{Kind: before.Kind, Number: before.Number, Seed: before.Seed, Vital: before.Vital, Before: before.Before}
	}
	for n, i := range order.Order {
		out.Item.Options = append(out.Item.Options, quiz.Option{ID: shownID(n), Text: from.Options[i].Text})
	}
	for _, pair := range from.Pairs {
		out.Item.Pairs = append(out.Item.Pairs, quiz.Pair{ID: pair.ID, Left: pair.Left})
	}
	return out
}

func shownID(n int) string { return fmt.Sprintf("o%d", n+1) }

// translate turns the names under which options were shown back into those of the item.
func (p Paper) translate(item quiz.Item, candidate string, r quiz.Response) quiz.Response {
	order := p.presented(item, candidate).Order
	chosen := slices.Clone(r.Chosen)
	for i, id := range chosen {
		chosen[i] = "?" + id // unless it is found: no option has this name
		for n, from := range order {
			if shownID(n) == id {
				chosen[i] = item.Options[from].ID
			}
		}
	}
	r.Chosen = chosen
	return r
}

// farPlace is further from a tooth's origin than any picture reaches, mm.
const farPlace = 100

// Fit returns what in a response does not fit the question, or nil. Checked by TestFit.
func (s Shown) Fit(r quiz.Response) error {
	item, bare := s.Item, quiz.Response{}
	switch item.Kind {
	case quiz.Single, quiz.Several, quiz.Predict, quiz.Ordering:
		bare.Chosen = r.Chosen
	case quiz.Matching:
		bare.Joined = r.Joined
	case quiz.Numeric, quiz.Measure:
		bare.Value = r.Value
	case quiz.Place:
		bare.Point = r.Point
	}
	if same, err := sameResponse(bare, r); err != nil || !same {
		return fmt.Errorf("%s: the answer has parts that a question of kind %s does not take", item.ID, item.Kind)
	}
	if item.Kind == quiz.Place {
		if !(math.Abs(r.Point.X) <= farPlace && math.Abs(r.Point.Y) <= farPlace) {
			return fmt.Errorf("%s: the place lies %g, %g mm from the tooth's origin", item.ID, r.Point.X, r.Point.Y)
		}
		return nil
	}
	item.Subject = nil
	for _, side := range s.Sides {
		item.Spare = append(item.Spare, quiz.Option{Text: side})
	}
	for _, j := range r.Joined {
		if j.Right == "" {
			return fmt.Errorf("%s: left side %q is joined to nothing", item.ID, j.Pair)
		}
	}
	_, err := quiz.Mark(item, r)
	return err
}

// sameResponse compares two responses as they are written.
func sameResponse(a, b quiz.Response) (bool, error) {
	first, err := canonical(a)
	if err != nil {
		return false, err
	}
	second, err := canonical(b)
	return string(first) == string(second), err
}

// Digest returns the SHA-256 of a packet without its signature, in hex: what a sitting names it by.
func (k Packet) Digest() (string, error) {
	k.Signature = ""
	return digestOf(k)
}

// Check returns nil when a packet is signed by the key (hex); "" takes the key that it names itself,
// which then proves only that it is whole. The error is a *Refusal.
func (k Packet) Check(instructor string) error {
	if instructor != "" && instructor != k.PublicKey {
		return refuse(PaperSignature, "the packet is signed by another key than the instructor's")
	}
	bare := k
	bare.Signature = ""
	if err := check(bare, k.PublicKey, k.Signature); err != nil {
		return refuse(PaperSignature, "packet: %v", err)
	}
	return nil
}

// Encode returns a packet as canonical JSON.
func (k Packet) Encode() ([]byte, error) { return canonical(k) }

// DecodePacket reads a packet and checks that it is whole; Begin checks whose it is. The error is a
// *Refusal. Checked by TestPaperFiles and FuzzDecodePacket.
func DecodePacket(data []byte) (Packet, error) {
	var k Packet
	if refused := strict(data, PacketSchema, &k); refused != nil {
		return Packet{}, refused
	}
	if k.Engine != engine() {
		return Packet{}, refuse(OtherEngine, "the packet is for engine %.40q, this is engine %q", k.Engine, engine())
	}
	if err := k.Check(""); err != nil {
		return Packet{}, err
	}
	if err := k.sound(); err != nil {
		return Packet{}, refuse(OutOfBounds, "packet: %v", err)
	}
	return k, nil
}

// DecodeOutside reads what Outside leaves of a packet: nothing vouches for it but the server it comes from. The error
// is a *Refusal. Checked by TestOutside and FuzzDecodePacket.
func DecodeOutside(data []byte) (Packet, error) {
	var k Packet
	if refused := strict(data, PacketSchema, &k); refused != nil {
		return Packet{}, refused
	}
	if k.Engine != engine() {
		return Packet{}, refuse(OtherEngine, "the paper is for engine %.40q, this is engine %q", k.Engine, engine())
	}
	if k.Key != "" || k.Signature != "" {
		return Packet{}, refuse(OutOfBounds, "this packet holds more than a sitting needs that a server steps")
	}
	if err := k.bounded(); err != nil {
		return Packet{}, refuse(OutOfBounds, "packet: %v", err)
	}
	return k, nil
}

// sound returns what in a packet, though signed, cannot be sat.
func (k Packet) sound() error {
	seed, err := hex.DecodeString(k.Key)
	if err != nil || len(seed) != ed25519.SeedSize {
		return errors.New("the candidate's key is damaged")
	}
	return k.bounded()
}

// bounded returns what in a packet is beyond the bounds of a paper.
func (k Packet) bounded() error {
	if err := errors.Join(CheckID(k.Paper), CheckID(k.Candidate)); err != nil {
		return err
	}
	if len(k.Cases) > mostCases || len(k.Items) > mostItems || k.LimitS < 0 || k.LimitS > mostFactor*mostLimitS || k.RestS < 0 || k.RestS > mostLimitS {
		return errors.New("more cases, questions or time than a paper has")
	}
	return k.Terms.sound()
}

// Scenario returns a case to be shown and its tooth to be treated.
func (k Packet) Scenario(one int) (scenario.Scenario, attempt.Paper, error) {
	m, err := k.Cases[one].compile()
	if err != nil {
		return scenario.Scenario{}, attempt.Paper{}, err
	}
	grown, err := m.grow(k.Cases[one].Seed)
	return m.from, grown, err
}
