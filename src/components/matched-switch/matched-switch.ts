import { consume } from '@lit/context';
import { html, LitElement, nothing } from 'lit';
import { customElement, property } from 'lit/decorators.js';
import { live } from 'lit/directives/live.js';
import type { ContinuousParameter } from '../../engine/parameters.ts';
import { CLEAN, CURRENT, findRack, MIX_ID, type Scope } from '../../session/document.ts';
import type { AnalysisStore, MatchFigures } from '../../stores/analysis-store.ts';
import { isStale } from '../../stores/analysis-store.ts';
import type { PlayerStore, Side } from '../../stores/player-store.ts';
import type { SessionStore } from '../../stores/session-store.ts';
import type { TrialStore } from '../../stores/trial-store.ts';
import { base } from '../base/base.styles.ts';
import { callout } from '../base/callout.styles.ts';
import { disclosure } from '../base/disclosure.styles.ts';
import { figureTable } from '../base/figure-table.styles.ts';
import { segments } from '../base/segments.styles.ts';
import { analysisContext, playerContext, sessionContext, trialContext } from '../context/contexts.ts';
import { store } from '../context/store-controller.ts';
import { clock, figure, NO_FIGURE } from '../format/figures.ts';
import { rackName } from '../rack-sheet/rack-facts.ts';
import '../value-slider/value-slider.ts';
import { compared, scopeName } from './compared.ts';
import { type MatchState, matchState } from './match-words.ts';
import { styles } from './matched-switch.styles.ts';

/** The match is trimmed by hand in these steps; the range is the document's. */
const matchTrim: ContinuousParameter = {
  id: 'matchTrim',
  label: 'Match trim',
  about: "Adjusts this rack's match gain by hand, in steps of 0.05 dB.",
  place: 'face',
  type: 'continuous',
  unit: 'dB',
  min: -12,
  max: 12,
  default: 0,
  taper: 'linear',
  step: 0.05,
  digits: 2,
};

/**
 * The one switch: the whole session clean, coloured, or only what was added, with how well the loudness is matched.
 * What stands on its two sides and which racks it moves can be chosen.
 * `show` picks its parts: on a narrow screen the switch itself stands beside Play.
 */
@customElement('matched-switch')
export class MatchedSwitch extends LitElement {
  static override styles = [base, figureTable, callout, segments, disclosure, styles];

  @store(sessionContext) private session?: SessionStore;
  @store(playerContext) private player?: PlayerStore;
  @store(analysisContext) private analysis?: AnalysisStore;
  @consume({ context: trialContext, subscribe: true }) private trials?: TrialStore;
  @property({ reflect: true }) show: 'all' | 'switch' | 'figures' = 'all';

  override render() {
    if (!this.session || !this.player) return nothing;
    return html`
      ${this.show !== 'figures' ? this.renderSwitch(this.player.side) : nothing}
      ${this.show !== 'switch' ? html`${this.renderTrial()} ${this.renderCompared()} ${this.renderMatch()}` : nothing}
      ${this.show === 'switch' ? this.renderScopeLine() : nothing}
      ${
        this.show === 'switch' && this.matchState.warns
          ? html`<p class="unmatched">${this.matchState.title}: ${this.matchState.detail}</p>`
          : nothing
      }
    `;
  }

  private get matchState(): MatchState {
    return matchState(this.session!.document, this.analysis?.mixMatch ?? null, this.player!);
  }

  /** Beside Play there is only the switch: what it doesn't move is said under it. */
  private renderScopeLine() {
    const { scope } = compared(this.session!.document);
    return scope === null ? nothing : html`<p class="scope">${scope}</p>`;
  }

  private renderSwitch(chosen: Side) {
    const { document } = this.session!;
    const { a, b, third, scope, plain } = compared(document);
    const where = scope === null ? 'Everything' : scope;
    const sides: readonly { side: Side; label: string; about: string; key: string }[] = [
      {
        side: 'clean',
        label: a,
        about: document.sides.a === CLEAN ? `${where} without stages` : `${where} as in the scene “${a}”`,
        key: '1',
      },
      {
        side: 'coloured',
        label: b,
        about: `${where} ${document.sides.b === CURRENT ? 'as set' : `as in the scene “${b}”`}, at the same loudness`,
        key: '2',
      },
      {
        side: 'added',
        label: third,
        about: third === 'Added' ? 'Only what the stages put in' : `Only what ${b} has otherwise than ${a}`,
        key: '3',
      },
    ];
    const name = plain
      ? 'Matched bypass of the whole session'
      : `Matched switch, ${a} against ${b}, ${scope ?? 'all racks'}`;
    return html`<div class="segments large sides" role="radiogroup" aria-label=${name}>
      ${sides.map(
        ({ side, label, about, key }) => html`<label class=${side} title=${`${about} (key ${key})`}>
          <input
            type="radio"
            name="side"
            value=${side}
            .checked=${live(side === chosen)}
            @change=${() => this.player?.setSide(side)}
          /><span><i class="line" aria-hidden="true"></i><b>${label}</b></span>
        </label>`,
      )}
    </div>`;
  }

  /** The way to a comparison that hides which side is which. */
  private renderTrial() {
    if (!this.trials) return nothing;
    return html`<button
      class="trial"
      title="Whether you hear it, which you like, how much is best: without knowing which is which (key B)"
      ?disabled=${(this.player?.durationSeconds ?? 0) === 0}
      @click=${() => this.trials?.open()}
    >
      Blind trial…
    </button>`;
  }

  /** What stands on the two sides, and which racks the switch moves. Anything but the plain case is seen at once. */
  private renderCompared() {
    const session = this.session!;
    const { document } = session;
    const { scenes, sides } = document;
    const { a, b, scope, plain } = compared(document);
    const choice = (label: string, id: 'a' | 'b', own: string, ownName: string) => html`<div class="row">
      <label for=${id}>${label}</label>
      <select
        id=${id}
        .value=${live(sides[id])}
        @change=${(event: Event) =>
          session.dispatch({ type: 'set-sides', [id]: (event.target as HTMLSelectElement).value })}
      >
        <option value=${own} ?selected=${sides[id] === own}>${ownName}</option>
        ${scenes.map((scene) => html`<option value=${scene.id} ?selected=${scene.id === sides[id]}>${scene.name}</option>`)}
      </select>
    </div>`;
    return html`<details class="compared ${plain ? '' : 'other'}">
      <summary class=${plain ? '' : 'callout coloured'}>
        ${plain ? 'Clean against coloured, all racks' : html`<span><b>${a}</b> against <b>${b}</b><small>${scope ?? 'All racks'}</small></span>`}
      </summary>
      ${choice('Side A', 'a', CLEAN, 'Clean')} ${choice('Side B', 'b', CURRENT, 'As it is now')} ${this.renderScope()}
      ${scenes.length === 0 ? html`<p class="small">Stored scenes can stand on either side.</p>` : nothing}
      ${
        plain
          ? nothing
          : html`<button
              @click=${() =>
                session.dispatch({
                  type: 'all',
                  commands: [
                    { type: 'set-sides', a: CLEAN, b: CURRENT },
                    { type: 'set-scope', scope: { kind: 'all' } },
                  ],
                })}
            >
              Clean against all as it is now
            </button>`
      }
    </details>`;
  }

  private renderScope() {
    const session = this.session!;
    const { document, selectedRack } = session;
    const { scope } = document;
    const racks = new Set([selectedRack, ...(scope.kind === 'all' ? [] : [scope.rackId])]);
    const kinds = ['only', 'all-but'] as const;
    const options: [Scope, string][] = [
      [{ kind: 'all' }, 'All'],
      ...[...racks].flatMap((rackId) =>
        kinds.map((kind): [Scope, string] => [{ kind, rackId }, scopeName(kind, rackName(document, rackId))]),
      ),
    ];
    const chosen = options.findIndex(([one]) => isSame(one, scope));
    return html`<div class="row">
      <label for="scope">Racks</label>
      <select
        id="scope"
        title="Racks outside it are alike on both sides"
        .value=${live(String(chosen))}
        @change=${(event: Event) =>
          session.dispatch({ type: 'set-scope', scope: options[Number((event.target as HTMLSelectElement).value)][0] })}
      >
        ${options.map(([, label], i) => html`<option value=${i} ?selected=${i === chosen}>${label}</option>`)}
      </select>
    </div>`;
  }

  private renderMatch() {
    const session = this.session!;
    const { document, selectedRack } = session;
    const rack = findRack(document, selectedRack);
    const stale = isStale(this.analysis);
    const shortened = this.analysis?.shortened ?? null;
    const region = shortened ?? document.matchRegion;
    const { warns, title, detail } = this.matchState;
    return html`
      <label class="switch matching ${warns ? 'callout warning off' : ''}" title="Key M">
        <span>${warns ? html`<b>${title}</b>` : title}<small> ${detail}</small></span>
        <input
          type="checkbox"
          role="switch"
          aria-label="Loudness matching"
          .checked=${live(document.matching)}
          @change=${(event: Event) =>
            session.dispatch({ type: 'set-matching', on: (event.target as HTMLInputElement).checked })}
        />
      </label>
      <table class=${stale ? 'stale' : 'fresh'}>
        <caption class="hidden">
          How well the loudness is matched
        </caption>
        <thead>
          <tr>
            <td></td>
            <th scope="col">gain dB</th>
            <th scope="col">off by LU</th>
          </tr>
        </thead>
        <tbody>
          ${matchRow('This rack', this.analysis?.rack(selectedRack)?.match ?? null)}
          ${matchRow(selectedRack === MIX_ID ? 'Session' : 'Mix', this.analysis?.mixMatch ?? null)}
          ${spreadRow(this.analysis?.mixMatch ?? null)} ${headroomRow(this.analysis?.headroomDb ?? null)}
        </tbody>
      </table>
      ${
        rack && rack.stages.length > 0
          ? html`<value-slider
              class="trim"
              .declaration=${matchTrim}
              .value=${rack.matchTrimDb}
              @value-change=${(event: CustomEvent<{ value: number }>) =>
                session.dispatch({ type: 'set-match-trim', rackId: selectedRack, trimDb: event.detail.value })}
            ></value-slider>`
          : nothing
      }
      <p class="small">
        Matched over ${region ? html`${clock(region.startSeconds)}–${clock(region.endSeconds)}` : 'the whole session'}${shortened ? ': the middle, as much as fits in memory' : ''}
      </p>
    `;
  }
}

function isSame(a: Scope, b: Scope): boolean {
  return a.kind === b.kind && (a.kind === 'all' || b.kind === 'all' || a.rackId === b.rackId);
}

function matchRow(name: string, match: MatchFigures | null) {
  const residual =
    match === null
      ? '–'
      : match.quality === 'exact'
        ? html`${figure(match.residualLu, { digits: 2 })}
            <span title="Exact, over the whole region" class="exact">${match.matched ? '✓' : '✗'}</span
            ><span class="hidden">${match.matched ? 'exact' : 'not matched'}</span>`
        : html`±${figure(match.errorLu, { digits: 2 })}
            <span title="Provisional: from three loud seconds of this rack; the exact gain follows">…</span
            ><span class="hidden">provisional</span>`;
  return html`<tr>
    <th scope="row">${name}</th>
    <td>${figure(match?.gainDb, { digits: 2, signed: true })}</td>
    <td class=${match && !match.matched ? 'missed' : ''} title=${match === null ? 'Not measured yet' : nothing}>
      ${residual}
    </td>
  </tr>`;
}

/** One static gain can't hold every moment: how far apart the sides are from moment to moment. */
function spreadRow(match: MatchFigures | null) {
  const low = figure(match?.spreadLowLu, { digits: 1, signed: true });
  const high = figure(match?.spreadHighLu, { digits: 1, signed: true });
  return html`<tr title="5th and 95th percentile of the short-term loudness difference">
    <th scope="row">Short-term</th>
    <td colspan="2">${low === NO_FIGURE && high === NO_FIGURE ? NO_FIGURE : html`${low} to ${high} LU`}</td>
  </tr>`;
}

/** What both sides are lowered by while they are heard, so that the guard never has to act on one of them. */
function headroomRow(db: number | null) {
  return html`<tr
    title="Common headroom: both sides are lowered alike, so that the louder true peak of the two stays under the output guard's −1 dBTP. Float files keep their full level."
  >
    <th scope="row">Both sides</th>
    <td>${figure(db, { digits: 1, signed: true })}</td>
    <td></td>
  </tr>`;
}

declare global {
  interface HTMLElementTagNameMap {
    'matched-switch': MatchedSwitch;
  }
}
