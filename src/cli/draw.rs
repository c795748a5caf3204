//! `draw`: a tree from left to right, or a machine's circuits as lines, as SVG or DOT.

use std::io::Write;
use std::path::PathBuf;

use super::disk::Root;
use super::job_place::JobsFolder;
use super::machine_file::machine;
use super::{Ending, Failure, Outcome};
use crate::author::kind_of;
use crate::diag::{Lang, visible_line};
use crate::draw::{circuit_dot, circuit_svg, lines, lines_of, tree_dot, tree_svg};
use crate::job::{Kept, replay};
use crate::machine::Today;
use crate::tree::{FileKind, StepIx, Tree, load};

/// Draws a tree or the circuits of a machine.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples: loomwalk draw tern/no-lift-no-tilt > tree.svg\n          \
                        loomwalk draw tern/machine --function lift > lift.svg")]
pub(super) struct Args {
    /// The tree or machine file: a path, or the name of a shipped one
    file: String,
    /// The form
    #[arg(long, value_enum, default_value = "svg")]
    format: Form,
    /// Lays the path of this job over its tree: a name in the jobs folder, a path, or - for standard input
    #[arg(long, value_name = "JOB")]
    job: Option<PathBuf>,
    #[command(flatten)]
    jobs: JobsFolder,
    /// Of a machine, only the circuits that this function hangs on
    #[arg(long, value_name = "NAME", conflicts_with = "job")]
    function: Option<String>,
    /// The language
    #[arg(long, default_value = "en", value_name = "CODE")]
    lang: String,
    #[command(flatten)]
    root: Root,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Form {
    /// A picture
    Svg,
    /// For Graphviz and the like
    Dot,
}

/// Runs it.
pub(super) fn run(args: &Args, out: &mut dyn Write) -> Outcome {
    let opened = args.root.open(&args.file)?;
    let lang = Lang::new(&args.lang);
    let drawn = match kind_of(&opened.source.text) {
        FileKind::Machine => circuits(args, &lang)?,
        FileKind::Tree => {
            if args.function.is_some() {
                return Err(Failure::usage("`--function` is for machine files; this is a tree"));
            }
            let tree = load(&opened.source, opened.sources.as_ref()).tree;
            let tree = tree.ok_or_else(|| {
                Failure::looked("this tree cannot be read").hint("`loomwalk check` says why")
            })?;
            a_tree(args, &tree, &lang)?
        }
        FileKind::Shared => {
            return Err(Failure::usage("a shared file is no tree of its own")
                .hint("a tree that uses it can be drawn; its groups are written out there"));
        }
    };
    out.write_all(drawn.as_bytes())?;
    Ok(Ending::Fine)
}

fn a_tree(args: &Args, tree: &Tree, lang: &Lang) -> Result<String, Failure> {
    let walked = walked(args, tree)?;
    match args.format {
        Form::Dot => Ok(tree_dot(tree, lang, &walked)),
        Form::Svg => tree_svg(tree, lang, &walked)
            .map_err(|error| Failure::looked(error).hint("`--format dot` has no such limit")),
    }
}

/// The steps that a job visited, in order; a tree may have lost some of them since.
fn walked(args: &Args, tree: &Tree) -> Result<Vec<StepIx>, Failure> {
    let Some(job) = &args.job else { return Ok(Vec::new()) };
    let (name, found) = args.jobs.read::<Kept>(job)?;
    let replayed = replay(&found.records).map_err(Failure::looked)?;
    let own = replayed.walk.course().tree();
    if own.id != tree.id {
        return Err(Failure::usage(format!(
            "job {} walked the tree `{}`, this is `{}`",
            visible_line(&name),
            visible_line(&own.id),
            visible_line(&tree.id)
        )));
    }
    let visits = replayed.walk.visits().iter();
    Ok(visits.filter_map(|visit| tree.find(&own.step(visit.step).id)).collect())
}

fn circuits(args: &Args, lang: &Lang) -> Result<String, Failure> {
    if args.job.is_some() {
        return Err(Failure::usage("`--job` is for trees; this is a machine file"));
    }
    let machine = machine(&args.root, &args.file)?;
    let day = machine.day(Today::default());
    let mut title = machine.title.in_lang(lang).to_owned();
    let drawn = match &args.function {
        None => lines(&day),
        Some(name) => {
            let functions = || machine.parts().functions.iter().map(|f| f.name.as_str());
            let id = machine.function(name).ok_or_else(|| {
                let known = functions().collect::<Vec<_>>().join(", ");
                Failure::usage(format!("there is no function `{}`", visible_line(name)))
                    .hint(format!("there are {known}"))
            })?;
            let function = &machine.parts().functions[id.at()];
            let words = function.title.as_ref().map_or(function.name.as_str(), |title| title.in_lang(lang));
            title = format!("{title}: {words}");
            lines_of(&day, &[id])
        }
    };
    Ok(match args.format {
        Form::Dot => circuit_dot(&machine, &drawn, lang),
        Form::Svg => circuit_svg(&title, &drawn, lang),
    })
}
