package exam

import (
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"

	"tugback/internal/detmath"
	"tugback/internal/quiz"
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
	LimitS     int     `json:"limit_s"` // with the candidate's own extra time
	RestS      int     `json:"rest_s"`
	Commitment string  `json:"commitment"`
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

// Packet returns a candidate's packet, signed. Checked by TestPacketKeepsSecrets.
func (p Paper) Packet(candidate string, key ed25519.PrivateKey) (Packet, error) {
	packet, err := p.unsigned(candidate)
	if err != nil {
		return Packet{}, err
	}
	if public(key) != p.PublicKey {
		return Packet{}, errors.New("this is not the key that the paper was sealed with")
	}
	packet.Signature, err = sign(packet, key)
	return packet, err
}

// unsigned returns a candidate's packet before it is signed.
func (p Paper) unsigned(candidate string) (Packet, error) {
	i := slices.IndexFunc(p.Candidates, func(c Candidate) bool { return c.ID == candidate })
	if i < 0 {
		return Packet{}, fmt.Errorf("the paper has no candidate %.40q", candidate)
	}
	c := p.Candidates[i]
	packet := Packet{Schema: PacketSchema, Engine: p.Engine, Paper: p.ID, Title: p.Title, Candidate: c.ID, Terms: p.Terms,
		Cases: []Case{}, Items: []Shown{}, LimitS: int(math.Ceil(float64(p.Terms.LimitS) * max(1, c.TimeFactor))), RestS: c.RestS,
		Commitment: p.Commitment, PublicKey: p.PublicKey}
	for n, one := range p.Cases {
		one.Seed = c.Seeds[n]
		if !p.Terms.ShowMarks {
			one.Rules, one.Pass = nil, 0
		}
		packet.Cases = append(packet.Cases, one)
	}
	for _, n := range p.sequence(candidate) {
		packet.Items = append(packet.Items, p.shown(p.Items[n], candidate))
	}
	return packet, nil
}

// sequence returns the places of the paper's items in the order in which a candidate gets them: those
// of one step of the procedure stay together, and are shuffled.
func (p Paper) sequence(candidate string) []int {
	steps := quiz.Steps()
	order := make([]int, len(p.Items))
	weight := make([]uint64, len(p.Items))
	for i := range order {
		order[i], weight[i] = i, DrawSeed(p.secret(), candidate, "place|"+p.Items[i].Item.ID, 0)
	}
	slices.SortFunc(order, func(a, b int) int {
		if d := slices.Index(steps, p.Items[a].Item.Step) - slices.Index(steps, p.Items[b].Item.Step); d != 0 {
			return d
		}
		if weight[a] < weight[b] {
			return -1
		}
		return 1
	})
	return order
}

func (p Paper) secret() []byte {
	secret, err := hex.DecodeString(p.Secret)
	if err != nil {
		panic("exam: the secret of a paper is not hexadecimal")
	}
	return secret
}

// presented returns an item in the order in which a candidate sees it.
func (p Paper) presented(item quiz.Item, candidate string) quiz.Shown {
	stream := detmath.NewStream(DrawSeed(p.secret(), candidate, "item|"+item.ID, 0), "exam order")
	return quiz.Present(item, &stream)
}

// shown returns an item without what gives its key away.
func (p Paper) shown(item Item, candidate string) Shown {
	from, order := item.Item, p.presented(item.Item, candidate)
	out := Shown{Points: item.Points, Sides: order.Sides, Item: quiz.Item{ID: from.ID, Kind: from.Kind, Step: from.Step,
		Stem: from.Stem, Unit: from.Unit, Subject: from.Subject, Target: from.Target, At: from.At}}
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

// Fit returns what in a response does not fit the question, or nil. Checked by TestFit.
func (s Shown) Fit(r quiz.Response) error {
	item := s.Item
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

// Digest returns the SHA-256 of a packet without its signature, in hex: what a sitting names it by.
func (k Packet) Digest() (string, error) {
	k.Signature = ""
	return digestOf(k)
}

// Check returns nil when a packet is signed by the key (hex); "" takes the key that it names itself,
// which then proves only that it is whole.
func (k Packet) Check(key string) error {
	if key != "" && key != k.PublicKey {
		return errors.New("the packet is signed by another key than the instructor's")
	}
	bare := k
	bare.Signature = ""
	return check(bare, k.PublicKey, k.Signature)
}

// Encode returns a packet as canonical JSON.
func (k Packet) Encode() ([]byte, error) { return canonical(k) }

// DecodePacket reads a packet; Check it against the instructor's key before it is sat. Checked by
// TestPaperFiles and FuzzDecodePacket.
func DecodePacket(data []byte) (Packet, error) {
	var k Packet
	if err := strict(data, PacketSchema, &k); err != nil {
		return Packet{}, fmt.Errorf("packet: %w", err)
	}
	if err := k.Check(""); err != nil {
		return Packet{}, fmt.Errorf("packet: %w", err)
	}
	return k, nil
}
