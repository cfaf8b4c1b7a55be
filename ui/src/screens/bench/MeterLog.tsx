/** A meter log: stored, read, drawn with its phases; what it suggests becomes a finding with one Enter. */
import { useEffect, useRef, useState } from 'preact/hooks';
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';

import { type MeterView, get, paths, postAttachment } from '../../api';
import { Button } from '../../components/Button';
import { tokenColour } from '../../components/colour';
import { Panel } from '../../components/Panel';
import { clock, number, percent } from '../../lib/format';
import { allowedAction } from '../../lib/bench';
import { useKeys } from '../../state/keyboard';
import { say } from '../../state/notices';
import { Suggestion } from './MeterSays';
import { useWork } from './work';

type Progress = { step: 'idle' } | { step: 'storing'; name: string } | { step: 'failed'; name: string; why: string; again: () => void };

/** Stores a file and notes that it belongs to the unit. */
function useAttach(show: (attachment: string, fresh: boolean) => void) {
  const { record } = useWork();
  const [progress, setProgress] = useState<Progress>({ step: 'idle' });
  const attach = async (file: File) => {
    setProgress({ step: 'storing', name: file.name });
    try {
      const { attachment } = await postAttachment(file);
      const taken = await record([{ kind: 'meter-log-attached', body: { attachment, name: file.name } }], `meter log ${file.name}`, 'stay');
      setProgress({ step: 'idle' });
      if (taken) show(attachment, true);
    } catch (error) {
      const why = error instanceof Error ? error.message : 'It could not be stored.';
      setProgress({ step: 'failed', name: file.name, why, again: () => void attach(file) });
    }
  };
  return { progress, attach };
}

export function MeterLog() {
  const { view, choose } = useWork();
  const last = view.logs.at(-1)?.attachment ?? null;
  const [shown, setShown] = useState<{ attachment: string; fresh: boolean } | null>(last === null ? null : { attachment: last, fresh: false });
  const [meter, setMeter] = useState<MeterView | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const picker = useRef<HTMLInputElement>(null);
  const { progress, attach } = useAttach((attachment, fresh) => setShown({ attachment, fresh }));
  const over = useFileDrop((file) => void attach(file));
  const { allowed, why } = allowedAction(view, 'meter-log-attached');

  useEffect(() => {
    if (shown === null) return;
    const abort = new AbortController();
    setProblem(null);
    get<MeterView>(paths.meter(shown.attachment, view.unit.profile), abort.signal).then((read) => {
      setMeter(read);
      const reading = view.checks.find((check) => check.reads_meter);
      if (shown.fresh && read.outcome === undefined && reading) choose(`check/${reading.id}`);
    }, (error: unknown) => {
      if (!abort.signal.aborted) setProblem(error instanceof Error ? error.message : 'The log could not be read.');
    });
    return () => abort.abort();
  }, [shown?.attachment]);
  useKeys({ letter: (letter) => letter === 'l' && picker.current?.click() });

  return (
    <Panel title="Meter log" aside={<Button slim keyed="l" why={allowed ? undefined : why} onClick={() => picker.current?.click()}>Choose a log</Button>}>
      <input ref={picker} type="file" class="unseen" tabIndex={-1} aria-label="Meter log" accept=".csv,.txt,.tsv,.log,.json,text/*"
        onChange={(event) => {
          const file = event.currentTarget.files?.[0];
          if (file) void attach(file);
          event.currentTarget.value = '';
        }} />
      {over && <p class="drop">Let go to store this file as the unit’s meter log.</p>}
      {progress.step === 'storing' && <p role="status" class="soft">Storing {progress.name} …</p>}
      {progress.step === 'failed' && <p role="alert" class="bad row">{progress.name}: {progress.why} <Button slim onClick={progress.again}>Try again</Button></p>}
      {problem !== null && <p role="alert" class="bad">{problem}</p>}
      {shown === null && !over && <p class="soft">None yet. Drop a file anywhere on this screen: current, and volts if there are any, over time.</p>}
      {shown !== null && meter !== null && problem === null && (
        <>
          {shown.fresh && <Suggestion says={meter} source={{ log: shown.attachment }} done={() => setShown({ ...shown, fresh: false })} />}
          <Figures meter={meter} />
          <Plot meter={meter} />
        </>
      )}
      {view.logs.length > 1 && (
        <div class="row small">{view.logs.map((log) => (
          <Button key={log.entry} slim pressed={log.attachment === shown?.attachment} onClick={() => setShown({ attachment: log.attachment, fresh: false })}>{log.name}</Button>
        ))}</div>
      )}
    </Panel>
  );
}

function Figures({ meter }: { meter: MeterView }) {
  const damaged = (meter.damaged_rows ?? 0) + (meter.not_a_number ?? 0);
  return (
    <div class="small">
      <p>
        <span class="mono">{clock(meter.duration_s)}</span> · <span class="mono">{number(meter.charge_mAh, 0)} mAh</span>
        {meter.energy_Wh !== null && <> · <span class="mono">{number(meter.energy_Wh, 2)} Wh</span></>}
        {meter.peak_A !== undefined && <> · peak <span class="mono">{number(meter.peak_A, 2)} A</span></>}
        {damaged > 0 && <span class="bad"> · {damaged} rows could not be read</span>}
      </p>
      {supplyWords(meter) !== '' && <p>{supplyWords(meter)}</p>}
      {meter.charge_ended_s !== undefined && (
        <p>The charge ended after <span class="mono">{clock(meter.charge_ended_s)}</span>
          {meter.end_current_A !== undefined && <> at <span class="mono">{number(meter.end_current_A, 2)} A</span></>}.</p>
      )}
      {meter.accepted && (
        <p>The battery took about <span class="mono">{number(meter.accepted.low_Wh, 1)} to {number(meter.accepted.high_Wh, 1)} Wh</span>
          {meter.accepted.low_share !== undefined && meter.accepted.high_share !== undefined
            && <>, {percent(meter.accepted.low_share)} to {percent(meter.accepted.high_share)} of its nominal energy</>}
          {' '}<span class="soft">({meter.accepted.assumes})</span>.</p>
      )}
    </div>
  );
}

function supplyWords({ supply }: MeterView): string {
  if (!supply) return '';
  const droop = supply.droop_V === null ? '' : `, ${number(supply.droop_V, 2)} V lower under load`;
  const low = supply.low_s > 0 ? `; pulled down for ${clock(supply.low_s)}` : '';
  return `Supply ${number(supply.mean_V, 2)} V on average, least ${number(supply.least_V, 2)} V${droop}${low}.`;
}

const kPlotHeight = 230;

/** The phases for those who cannot see them drawn, and where a phase is too short for its name. */
function phasesInWords(meter: MeterView): string {
  return meter.phases.map((phase) => `${phase.kind} from ${clock(phase.from_s)} to ${clock(phase.to_s)}${
    phase.mean_A === null ? '' : ` at ${number(phase.mean_A, 2)} A`}`).join('; ');
}

function Plot({ meter }: { meter: MeterView }) {
  const holder = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = holder.current;
    if (element === null) return;
    let plot: uPlot | null = null;
    const draw = () => {
      plot?.destroy();
      plot = new uPlot(plotOptions(meter, element.clientWidth), plotData(meter), element);
    };
    draw();
    const resized = new ResizeObserver(() => plot?.setSize({ width: element.clientWidth, height: kPlotHeight }));
    resized.observe(element);
    // Colours come from the page: draw anew when day turns into night.
    const scheme = matchMedia('(prefers-color-scheme: dark)');
    scheme.addEventListener('change', draw);
    const theme = new MutationObserver(draw);
    theme.observe(document.documentElement, { attributeFilter: ['data-theme'] });
    return () => {
      resized.disconnect();
      scheme.removeEventListener('change', draw);
      theme.disconnect();
      plot?.destroy();
    };
  }, [meter]);
  return (
    <figure>
      <div ref={holder} class="plot" role="img" aria-label="Current over time" />
      <figcaption class="small soft">{hasVolts(meter) && 'Full line: amperes; broken line: volts. '}{phasesInWords(meter)}.</figcaption>
    </figure>
  );
}

const hasVolts = (meter: MeterView) => meter.trace.volts.some((value) => value !== null);

function plotData(meter: MeterView): uPlot.AlignedData {
  const { seconds, amperes, volts } = meter.trace;
  return hasVolts(meter) ? [seconds, amperes, volts] : [seconds, amperes];
}

function plotOptions(meter: MeterView, width: number): uPlot.Options {
  const colour = tokenColour;
  const font = '13px NextMono, monospace';
  const axis = { stroke: colour('--ink-soft'), font, grid: { stroke: colour('--hairline'), width: 1 }, ticks: { stroke: colour('--hairline'), width: 1 } };
  return {
    width, height: kPlotHeight, legend: { show: false }, cursor: { y: false },
    scales: { x: { time: false }, A: { range: (_, __, max) => [0, Math.max(0.1, max * 1.25)] }, V: { range: (_, __, max) => [0, Math.max(1, max * 1.25)] } },
    axes: [
      { ...axis, values: (_, splits) => splits.map(clock), space: 70, size: 34 },
      { ...axis, scale: 'A', values: (_, splits) => splits.map((value) => `${number(value, 2)} A`), size: 62 },
      ...(hasVolts(meter) ? [{ ...axis, scale: 'V', side: 1 as const, grid: { show: false }, values: (_: uPlot, splits: number[]) => splits.map((value) => `${number(value, 1)} V`), size: 56 }] : []),
    ],
    series: [{}, { scale: 'A', stroke: colour('--ink'), width: 2, label: 'A' },
      ...(hasVolts(meter) ? [{ scale: 'V', stroke: colour('--doubt'), width: 1.25, dash: [6, 4], label: 'V' }] : [])],
    hooks: { drawClear: [(plot) => shadePhases(plot, meter, colour)] },
  };
}

/** Phases as bands with their names on top; every other one is shaded, so neighbours can be told apart. */
function shadePhases(plot: uPlot, meter: MeterView, colour: (name: string) => string): void {
  const { ctx, bbox } = plot;
  const ratio = devicePixelRatio;
  ctx.save();
  ctx.font = `${13 * ratio}px Next, sans-serif`;
  ctx.textBaseline = 'top';
  meter.phases.forEach((phase, at) => {
    const left = plot.valToPos(phase.from_s, 'x', true);
    const right = plot.valToPos(phase.to_s, 'x', true);
    ctx.fillStyle = at % 2 === 0 ? colour('--sunk') : colour('--raised');
    ctx.fillRect(left, bbox.top, right - left, bbox.height);
    ctx.fillStyle = colour('--ink');
    if (ctx.measureText(phase.kind).width < right - left - 6 * ratio) ctx.fillText(phase.kind, left + 5 * ratio, bbox.top + 5 * ratio);
  });
  ctx.restore();
}

/** A file may be dropped anywhere on the screen; says whether one hovers over it. */
function useFileDrop(take: (file: File) => void): boolean {
  const [over, setOver] = useState(false);
  const latest = useRef(take);
  latest.current = take;
  useEffect(() => {
    const carries = (event: DragEvent) => event.dataTransfer?.types.includes('Files') === true;
    const hover = (event: DragEvent) => {
      if (!carries(event)) return;
      event.preventDefault();
      setOver(true);
    };
    const leave = (event: DragEvent) => event.relatedTarget === null && setOver(false);
    const drop = (event: DragEvent) => {
      if (!carries(event)) return;
      event.preventDefault();
      setOver(false);
      const files = [...(event.dataTransfer?.files ?? [])];
      if (files.length > 1) say({ tone: 'bad', text: 'One meter log at a time: the first of these files is taken.' });
      if (files[0]) latest.current(files[0]);
    };
    addEventListener('dragover', hover);
    addEventListener('dragleave', leave);
    addEventListener('drop', drop);
    return () => {
      removeEventListener('dragover', hover);
      removeEventListener('dragleave', leave);
      removeEventListener('drop', drop);
    };
  }, []);
  return over;
}
